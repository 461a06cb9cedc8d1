"""The page of one record: one HTML file that needs nothing else.

No script and no network; it prints on A4 and is read in any browser, years
later, from the record alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, partial
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from voicecheck.report import view, wording
from voicecheck.report.how import how
from voicecheck.report.labels_file import labels
from voicecheck.report.machine_plan import drawing


def render(document: Mapping[str, Any], *, local_time: bool = False) -> str:
    """Return the page of a record as HTML text.

    Args:
        document: a record that follows `voicecheck/record/record.schema.json`.
        local_time: also show times in the time zone of this computer; without
            it the page depends on the record alone.
    """
    at = labels(document["words"]["language"])
    shown = view.view(document, at)
    environment = _environment()
    shapes = drawing(document["content"]["checklist"]["name"])
    plan = environment.get_template("plan.svg.j2").render(
        view=shown,
        at=at,
        drawing=Markup(shapes),  # noqa: S704 (checked shapes of ours)
    )
    return environment.get_template("page.html.j2").render(
        document=document,
        view=shown,
        at=at,
        # Both are ours: the style has no values in it, and the drawing was
        # escaped when it was rendered.
        css=Markup(style()),  # noqa: S704
        plan=Markup(plan),  # noqa: S704
        prompt=partial(view.prompt, document),
        zone=partial(view.zone_title, document),
        how=how(document, at),
        time=partial(wording.time_words, at=at, local_time=local_time),
        clock=wording.clock_words,
        duration=wording.duration_words,
        number=wording.number_words,
        measure=wording.measure_words,
    )


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("voicecheck.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def style() -> str:
    """Return the style sheet of pages."""
    return (
        files("voicecheck.report").joinpath("templates", "page.css").read_text("utf-8")
    )
