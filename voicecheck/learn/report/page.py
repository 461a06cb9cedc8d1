"""Progress as one HTML file that needs nothing else, or as the inside of a page."""

from __future__ import annotations

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from voicecheck.learn.report.parts import parts, title
from voicecheck.learn.report.view import View
from voicecheck.report.page import style
from voicecheck.report.period.page import part_html

__all__ = ["body", "page"]


def body(shown: View) -> Markup:
    """Return headings, tables and charts, for a page that has its own frame.

    Every text in it is escaped; there is no script and no style attribute.
    """
    return Markup("\n".join(part_html(part) for part in parts(shown)))  # noqa: S704


def page(shown: View) -> str:
    """Return the whole page."""
    return (
        _environment()
        .get_template("progress.html.j2")
        .render(
            language=shown.language,
            title=title(shown),
            css=Markup(style()),  # noqa: S704 (ours, without values in it)
            body=body(shown),
        )
    )


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("voicecheck.learn.report"),
        autoescape=True,
        undefined=StrictUndefined,
    )
