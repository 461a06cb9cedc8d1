"""`voicecheck report`: pages, PDF files and tag sheets to print or to file."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from voicecheck.cli.report_period import period

if TYPE_CHECKING:
    from voicecheck.report.pdf.tag import Tag

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Write reports as PDF, HTML and CSV, and tag sheets.\n\n"
    "They support people who decide and replace no procedure of the site.\n\n"
    "Example: voicecheck report walk 6b03a8bd --pdf walk.pdf",
)
app.command("period")(period)

_Font = Annotated[
    Path | None,
    typer.Option("--font", metavar="FILE", help="A TrueType font to write with."),
]


@app.command("walk")
def walk(
    record_id: Annotated[
        str, typer.Argument(metavar="WALK", help="The record's id, or how it begins.")
    ],
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="FILE", help="Receives the PDF.")
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", metavar="FILE", help="Receives the page.")
    ] = None,
    font: _Font = None,
) -> None:
    """Write one walk as a PDF to file and an HTML page to read.

    Both begin with the decision and its reasons, then findings with their
    rules, the plan view, readings against limits, the declaration, cautions,
    all answers, and the hashes. The page also shows how each answer came in.

    A record that was altered is not written; the exit status is then 1.

    Example: voicecheck report walk 6b03a8bd --pdf walk.pdf --html walk.html
    """
    from voicecheck.report.page import render  # noqa: PLC0415
    from voicecheck.report.pdf.walk import walk_pdf  # noqa: PLC0415

    if pdf is None and html is None:
        raise typer.BadParameter("give --pdf FILE, --html FILE or both")
    document = _document(record_id)
    if html is not None:
        write(html, render(document, local_time=True).encode())
    if pdf is not None:
        write(pdf, walk_pdf(document, local_time=True, font=font))


@app.command("tag")
def tag(
    pdf: Annotated[
        Path, typer.Option("--pdf", metavar="FILE", help="Receives the sheet.")
    ],
    unit: Annotated[
        str, typer.Option("--unit", metavar="ID", help="The machine, as L-12.")
    ] = "",
    wrong: Annotated[
        list[str] | None,
        typer.Option("--wrong", metavar="TEXT", help="What is wrong; may be repeated."),
    ] = None,
    who: Annotated[
        str, typer.Option("--who", metavar="NAME", help="Who tags it out.")
    ] = "",
    record_id: Annotated[
        str | None,
        typer.Option("--walk", metavar="WALK", help="Take all from this record."),
    ] = None,
    contact: Annotated[
        str, typer.Option("--contact", metavar="TEXT", help="Company and telephone.")
    ] = "",
    warning: Annotated[
        bool,
        typer.Option("--warning", help="WARNING instead of DANGER."),
    ] = False,
    lang: Annotated[str, typer.Option("--lang", help="Language, en or ko.")] = "en",
    font: _Font = None,
) -> None:
    """Write the sheet that tags a machine out, to print on A4.

    It says signal word, message, unit, what is wrong, who and when, as 29 CFR
    1910.147(c)(5) and 1910.145(f) ask for. What --unit, --wrong and --who leave
    out is taken from --walk.

    Example: voicecheck report tag --unit L-12 --wrong "Horn does not work" --who J.Doe --pdf tag.pdf
    """  # noqa: E501
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.report.pdf.tag import Signal, tag_pdf  # noqa: PLC0415

    made = _tag(
        None if record_id is None else _document(record_id),
        unit=unit,
        wrong=tuple(wrong or ()),
        who=who,
        at=SystemClock().now(),
        contact=contact,
        signal=Signal.WARNING if warning else Signal.DANGER,
        lang=lang,
    )
    write(pdf, tag_pdf(made, lang, font=font))


def _tag(
    document: dict[str, Any] | None,
    *,
    unit: str,
    wrong: tuple[str, ...],
    who: str,
    at: datetime,
    lang: str,
    **rest: Any,
) -> Tag:
    from voicecheck.report.pdf.tag import Tag, wrong_of  # noqa: PLC0415

    if document is not None:
        unit = unit or document["content"]["unit"]
        wrong = wrong or wrong_of(document)
        who = who or document["content"]["operator"]
    missing = [
        option
        for option, value in (("--unit", unit), ("--wrong", wrong), ("--who", who))
        if not value
    ]
    if missing:
        raise typer.BadParameter(
            f"the sheet must say more: give {', '.join(missing)}, or --walk WALK"
        )
    return Tag(unit=unit, wrong=wrong, who=who, at=at, **rest)


def write(path: Path, data: bytes) -> None:
    """Write a file whole or not at all, and say so."""
    from voicecheck.store.files import write_atomically  # noqa: PLC0415

    write_atomically(path, data)
    typer.echo(f"Written: {path}", err=True)


def _document(record_id: str) -> dict[str, Any]:
    import json  # noqa: PLC0415

    from voicecheck.cli.records import read_checked  # noqa: PLC0415

    document: dict[str, Any] = json.loads(read_checked(record_id))
    return document
