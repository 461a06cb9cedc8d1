"""A report as HTML: a part for a page of the server, or a file of its own."""

from __future__ import annotations

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from voicecheck.observe.report.parts import Report, Strong
from voicecheck.report.page import style


def fragment(report: Report) -> Markup:
    """Return the report as HTML for the inside of another page.

    Everything in it is escaped; headings begin at h2.
    """
    template = _environment().get_template("parts.html.j2")
    return Markup(template.render(report=report))  # noqa: S704 (escaped by jinja)


def page(report: Report) -> str:
    """Return the report as one HTML file that needs nothing else."""
    template = _environment().get_template("page.html.j2")
    css = Markup(style())  # noqa: S704 (ours, without values)
    return template.render(report=report, css=css, body=fragment(report))


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("voicecheck.observe"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.tests["strong"] = lambda text: isinstance(text, Strong)
    environment.filters["kind"] = lambda part: type(part).__name__
    return environment
