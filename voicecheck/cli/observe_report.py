"""Results of observations: shown, signed, disputed, compared."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from voicecheck.cli.json_text import json_text
from voicecheck.cli.options import SiteRules
from voicecheck.errors import ObserveError

if TYPE_CHECKING:
    from voicecheck.observe.decision import Decided
    from voicecheck.observe.observation import Observation
    from voicecheck.observe.report.parts import Report
    from voicecheck.observe.result import Result
    from voicecheck.round.checklist import Checklist

_Which = Annotated[
    str, typer.Argument(metavar="OBSERVATION", help="As J.Doe, or J.Doe/3f2a.")
]
_As = Annotated[str, typer.Option("--as", metavar="ID", help="Who looks.")]
_By = Annotated[str, typer.Option("--by", metavar="ID", help="Who.")]
_Json = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]
_Pdf = Annotated[
    Path | None, typer.Option("--pdf", metavar="FILE", help="Receives the PDF.")
]
_Html = Annotated[
    Path | None, typer.Option("--html", metavar="FILE", help="Receives the page.")
]
_Lang = Annotated[
    str | None, typer.Option("--lang", help="Language, en or ko; as it was begun.")
]
_Font = Annotated[
    Path | None,
    typer.Option("--font", metavar="FILE", help="A TrueType font to write with."),
]
_Checklist = Annotated[
    str | None,
    typer.Option("--checklist", metavar="FILE", help="When it is one of your own."),
]


def result(
    which: _Which,
    reader: _As,
    json: _Json = False,
    pdf: _Pdf = None,
    html: _Html = None,
    debrief: Annotated[
        bool, typer.Option("--debrief", help="The trainee's, in plain words.")
    ] = False,
    lang: _Lang = None,
    font: _Font = None,
    checklist: _Checklist = None,
    site_rules: SiteRules = None,
) -> None:
    """Show what a walk showed, each figure with how sure it is, and what follows.

    Planted faults found and missed, false alarms, d' and criterion, order, time
    by zone, severity, coverage, and the decision by the criteria. JSON follows
    voicecheck/observe/result.schema.json. Files are readable by you only.

    Example: voicecheck observe result J.Doe --as C.Poe --pdf j-doe.pdf
    """
    from voicecheck.observe.document import result_document  # noqa: PLC0415
    from voicecheck.observe.report.debrief_parts import (  # noqa: PLC0415
        debrief_report,
    )
    from voicecheck.observe.report.result_parts import result_report  # noqa: PLC0415
    from voicecheck.observe.report.words import Words  # noqa: PLC0415

    seen, points = _seen(which, reader, lang, checklist, site_rules)
    found, decided = _worked_out(seen, points)
    if json:
        typer.echo(json_text(result_document(found, decided)))
        return
    make = debrief_report if debrief else result_report
    _give(make(found, decided, Words(points)), pdf, html, font)


def sign(
    which: _Which,
    by: _By,
    checklist: _Checklist = None,
    site_rules: SiteRules = None,
) -> None:
    """Sign the result as it stands, as its assessor or its trainee.

    An id and a time as declared; no qualified electronic signature.

    Example: voicecheck observe sign J.Doe --by C.Poe
    """
    from voicecheck.cli.observe_walk import open_observations  # noqa: PLC0415
    from voicecheck.observe.document import result_sha256  # noqa: PLC0415

    seen, points = _seen(which, by, None, checklist, site_rules)
    sha256 = result_sha256(*_worked_out(seen, points))
    with open_observations() as kept:
        role = kept.sign(seen, by=by, result_sha256=sha256)
    typer.echo(f"Signed as {role} by {by}: result {sha256[:12]}")


def appeal(
    which: _Which,
    by: _By,
    text: Annotated[
        str, typer.Option("--text", metavar="TEXT", help="In your own words.")
    ],
) -> None:
    """Say that you do not agree with a result; it is kept beside it.

    Example: voicecheck observe appeal J.Doe --by J.Doe --text "The tag hung behind the hose."
    """  # noqa: E501
    from voicecheck.cli.observe_walk import open_observations  # noqa: PLC0415

    with open_observations() as kept:
        kept.appeal(kept.find(which, by), by=by, text=text)
    typer.echo("Kept beside the result. Tell a supervisor of it.")


def compare(
    first: _Which,
    second: Annotated[
        str, typer.Argument(metavar="OTHER", help="Of the other assessor.")
    ],
    reader: _As,
    json: _Json = False,
    pdf: _Pdf = None,
    html: _Html = None,
    lang: _Lang = None,
    font: _Font = None,
    checklist: _Checklist = None,
    site_rules: SiteRules = None,
) -> None:
    """Hold two assessors of one walk against each other, point by point.

    Kappa for looks and for calls, and the points to talk about, the farthest
    apart first. Only the trainee and supervisors see both.

    Example: voicecheck observe compare J.Doe/3f2a J.Doe/77b1 --as M.Roe
    """
    from voicecheck.cli.observe_walk import (  # noqa: PLC0415
        checklist_of,
        open_observations,
    )
    from voicecheck.observe import compare as comparing  # noqa: PLC0415
    from voicecheck.observe.document import kappa_part  # noqa: PLC0415
    from voicecheck.observe.report.compare_parts import (  # noqa: PLC0415
        compare_report,
    )
    from voicecheck.observe.report.words import Words  # noqa: PLC0415

    with open_observations() as kept:
        one, other = kept.find(first, reader), kept.find(second, reader)
    points = checklist_of(one, lang, checklist, site_rules)
    found = comparing.compare(one, other, points)
    if json:
        data: dict[str, Any] = {
            "looks": kappa_part(found.looks).model_dump(mode="json"),
            "calls": kappa_part(found.calls).model_dump(mode="json"),
            "to_talk_about": [asdict(pair) for pair in found.to_talk_about],
            "only_one": [pair.checkpoint for pair in found.only_one],
        }
        typer.echo(json_text(data))
        return
    _give(compare_report(found, Words(points)), pdf, html, font)


def course(
    reader: _As,
    checklist: Annotated[
        str, typer.Option("--checklist", metavar="NAME", help="Name or file.")
    ] = "wheel-loader",
    json: _Json = False,
    pdf: _Pdf = None,
    html: _Html = None,
    lang: Annotated[str, typer.Option("--lang", help="Language, en or ko.")] = "en",
    font: _Font = None,
    site_rules: SiteRules = None,
) -> None:
    """Look at a course as a whole: which planted faults are missed most, and why.

    Difficulty and discrimination of each planted fault over all trainees whose
    observations you may see, and what course and checklist could change. It
    names no trainee; each look at their results is written down.

    Example: voicecheck observe course --as M.Roe --checklist wheel-loader
    """
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.cli.observe_walk import open_observations  # noqa: PLC0415
    from voicecheck.observe import course as courses  # noqa: PLC0415
    from voicecheck.observe.report.course_parts import course_report  # noqa: PLC0415
    from voicecheck.observe.report.words import Words  # noqa: PLC0415

    points = load(checklist, lang, site_rules)
    with open_observations() as kept:
        seen = [
            one
            for one in kept.visible(reader)
            if one.opened and one.begun and one.begun.checklist_sha256 == points.sha256
        ]
    if not seen:
        raise ObserveError(
            f"{reader} sees no observation on {points.name} that has ended; end one "
            "with `voicecheck observe end`"
        )
    found = courses.course([_worked_out(one, points)[0] for one in seen])
    if json:
        typer.echo(json_text(_course_data(found)))
        return
    newest = max(one.begun.at_utc for one in seen if one.begun)
    _give(course_report(found, Words(points), newest), pdf, html, font)


def write_private(path: Path, data: bytes) -> None:
    """Write a file that only its owner may read, whole or not at all."""
    from voicecheck.atomic_file import replace_file  # noqa: PLC0415

    try:
        replace_file(path, data, 0o600)
    except OSError as error:
        raise ObserveError(
            f"{path} could not be written ({error.strerror or error}); make room or "
            "name another place"
        ) from error
    typer.echo(f"Written: {path}", err=True)


def _seen(
    which: str,
    reader: str,
    lang: str | None,
    checklist: str | None,
    site_rules: Path | None,
) -> tuple[Observation, Checklist]:
    from voicecheck.cli.observe_walk import (  # noqa: PLC0415
        checklist_of,
        open_observations,
    )

    with open_observations() as kept:
        seen = kept.find(which, reader)
    return seen, checklist_of(seen, lang, checklist, site_rules)


def _worked_out(seen: Observation, points: Checklist) -> tuple[Result, Decided]:
    from voicecheck.observe.decision import decide  # noqa: PLC0415
    from voicecheck.observe.result import result as work_out  # noqa: PLC0415

    found = work_out(seen, points)
    return found, decide(found)


def _give(
    report: Report, pdf: Path | None, html: Path | None, font: Path | None
) -> None:
    """Write the files that were asked for, or show the report here."""
    from voicecheck.observe.report.page import page  # noqa: PLC0415
    from voicecheck.observe.report.pdf import report_pdf  # noqa: PLC0415
    from voicecheck.observe.report.text import report_text  # noqa: PLC0415

    if pdf is not None:
        write_private(pdf, report_pdf(report, font))
    if html is not None:
        write_private(html, page(report).encode())
    if pdf is None and html is None:
        typer.echo(report_text(report), nl=False)


def _course_data(found: Any) -> dict[str, Any]:
    from voicecheck.record.answer_json import answer_to_json  # noqa: PLC0415

    return {
        "trainees": found.trainees,
        "observations": found.observations,
        "alpha": found.figures.alpha,
        "persons_needed": found.figures.persons_needed,
        "items": [
            {
                "checkpoint": item.fault.checkpoint,
                "expected": answer_to_json(item.fault.expected),
                **asdict(item.figures),
                "missed_by_look": item.missed_by_look,
            }
            for item in found.items
        ],
        "suggestions": [
            {"hint": one.hint, "where": one.where, "count": one.count, "of": one.of}
            for one in found.suggestions
        ],
    }
