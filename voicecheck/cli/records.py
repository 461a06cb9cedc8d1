"""`voicecheck records`: list, show, export and verify what was written."""

from __future__ import annotations

import json as json_module
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from voicecheck.store.archive import Check
    from voicecheck.store.ports import Journal, WalkRow

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="List, show, export and verify records.\n\n"
    "An id may be cut to its first characters, four at least.\n\n"
    "Example: voicecheck records verify",
)

_Json = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]
_Id = Annotated[
    str, typer.Argument(metavar="ID", help="The record's id, or how it begins.")
]


class Format(StrEnum):
    """What a record can be exported as."""

    JSON = "json"
    CSV = "csv"
    HTML = "html"


@app.command("list")
def list_records(
    unit: Annotated[
        str | None, typer.Option("--unit", metavar="ID", help="Only this machine.")
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Not only the newest twenty.")
    ] = False,
    json: _Json = False,
) -> None:
    """List walks, the newest first, finished and unfinished ones.

    Each one listed is checked; what was altered is called damaged. Times are
    those of this computer, in JSON they are UTC.

    Example: voicecheck records list --unit L-12
    """
    from voicecheck.store import archive  # noqa: PLC0415

    with _journal() as (journal, folder):
        rows = [row for row in journal.walks() if unit in (None, row.unit)]
        shown = rows if every else rows[:20]
        listed = [
            _listed(row, archive.check(journal, folder, row.walk_id, row))
            for row in shown
        ]
    if json:
        typer.echo(json_module.dumps(listed, ensure_ascii=False))
        return
    for walk in listed:
        typer.echo(_line(walk))
    if not listed:
        typer.echo("There are no walks yet. Begin one: voicecheck walk --unit L-12")
    if len(shown) < len(rows):
        typer.echo(f"{len(rows) - len(shown)} older ones: add --all", err=True)


@app.command()
def show(record_id: _Id, json: _Json = False) -> None:
    """Show a record: decision, findings, readings.

    A record that was altered is not shown; the exit status is then 1.

    Example: voicecheck records show 6b03a8bd
    """
    from voicecheck.report.text import to_plain_text  # noqa: PLC0415

    data = read_checked(record_id).decode()
    typer.echo(data if json else to_plain_text(json_module.loads(data)))


@app.command()
def export(
    record_id: _Id,
    format_: Annotated[
        Format, typer.Option("--format", help="csv: one line for each answer.")
    ] = Format.JSON,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="Without it: standard output."),
    ] = None,
    pdf: Annotated[
        Path | None,
        typer.Option("--pdf", metavar="FILE", help="Receives a PDF instead."),
    ] = None,
) -> None:
    """Write a record as JSON (as it was kept), CSV, an HTML page, or a PDF.

    A record that was altered is not exported; the exit status is then 1.

    Example: voicecheck records export 6b03a8bd --format csv --out walk.csv
    """
    from voicecheck.store.files import write_atomically  # noqa: PLC0415

    kept = read_checked(record_id)
    if pdf is not None:
        from voicecheck.report.pdf.walk import walk_pdf  # noqa: PLC0415

        write_atomically(pdf, walk_pdf(json_module.loads(kept), local_time=True))
        typer.echo(f"Written: {pdf}", err=True)
        return
    data = _exported(kept, format_)
    if out is None:
        typer.echo(data, nl=False)
        return
    write_atomically(out, data)
    typer.echo(f"Written: {out}", err=True)


@app.command()
def verify(
    record_id: Annotated[
        str | None, typer.Argument(metavar="ID", help="Without it: all walks.")
    ] = None,
    json: _Json = False,
) -> None:
    """Check that nothing was altered, removed, added or reordered.

    The journal's chain of hashes is followed from end to end, the walk is
    walked again from its events, and the record is held against it. The exit
    status is 1 when anything does not fit.

    Somebody with the right to write all files here could replace everything
    consistently; only a record that was exported to another place shows that.

    Example: voicecheck records verify 6b03a8bd
    """
    with _journal() as (journal, folder):
        checks, strays = _checks(journal, folder, record_id)
    whole = not strays and all(check.ok for check in checks)
    if json:
        typer.echo(json_module.dumps(_verify_data(checks, strays, whole)))
    else:
        for check in checks:
            typer.echo(_check_text(check))
        for path in strays:
            typer.echo(f"{path}: DAMAGED\n  the journal knows nothing of this record")
        found = "nothing was altered." if whole else "DAMAGED, see above."
        typer.echo(f"Walks checked: {len(checks)}; {found}")
    if not whole:
        raise typer.Exit(1)


@contextmanager
def _journal() -> Iterator[tuple[Journal, Path]]:
    from voicecheck import settings  # noqa: PLC0415
    from voicecheck.store.journal import open_journal  # noqa: PLC0415

    with open_journal() as journal:
        yield journal, settings.home()


def _checks(
    journal: Journal, folder: Path, record_id: str | None
) -> tuple[list[Check], tuple[Path, ...]]:
    """Check one walk, or all that anything is kept of; also find stray files."""
    from voicecheck.store import archive  # noqa: PLC0415

    rows = {row.walk_id: row for row in journal.walks()}
    one = None if record_id is None else archive.find(journal, record_id)
    checks = [
        archive.check(journal, folder, walk_id, rows.get(walk_id))
        for walk_id in (journal.ids() if one is None else (one,))
    ]
    return checks, archive.stray_records(journal, folder) if one is None else ()


def read_checked(record_id: str) -> bytes:
    """Return the record's file after checking it; leave with 1 when it is damaged."""
    from voicecheck.store import archive  # noqa: PLC0415

    with _journal() as (journal, folder):
        walk_id = archive.find(journal, record_id)
        rows = {row.walk_id: row for row in journal.walks()}
        row = rows.get(walk_id)
        check = archive.check(journal, folder, walk_id, row)
        if check.ok and row is not None:
            return archive.read_record(folder, row, journal)
    typer.echo(_check_text(check), err=True)
    raise typer.Exit(1)


def _exported(data: bytes, format_: Format) -> bytes:
    match format_:
        case Format.JSON:
            return data
        case Format.CSV:
            from voicecheck.record.csv_text import to_csv  # noqa: PLC0415

            return to_csv(json_module.loads(data)).encode()
        case Format.HTML:
            from voicecheck.report.page import render  # noqa: PLC0415

            return render(json_module.loads(data), local_time=True).encode()


def _listed(row: WalkRow, check: Check) -> dict[str, Any]:
    record = row.record if check.ok else None
    return {
        "record_id": row.walk_id,
        "unit": row.unit,
        "operator": row.operator,
        "started_utc": row.started_utc,
        "last_utc": row.last_utc,
        "checklist": f"{row.checklist} {row.checklist_version}",
        "status": check.status,
        "has_record": record is not None,
        "outcome": record.outcome if record else None,
    }


def _line(walk: dict[str, Any]) -> str:
    started = datetime.fromisoformat(walk["started_utc"]).astimezone()
    outcome = (walk["outcome"] or "-").replace("_", " ")
    status = walk["status"].upper() if walk["status"] == "damaged" else walk["status"]
    operator = walk["operator"] or "-"
    return (
        f"{walk['record_id'][:8]}  {started:%Y-%m-%d %H:%M}  {walk['unit']:<12}  "
        f"{status:<10}  {outcome:<21}  {operator}"
    )


def _check_text(check: Check) -> str:
    if check.ok:
        return f"{check.walk_id}: {check.status}, {check.entries} entries, whole"
    problems = "".join(f"\n  {problem}" for problem in check.problems)
    return f"{check.walk_id}: DAMAGED{problems}"


def _verify_data(
    checks: list[Check], strays: tuple[Path, ...], whole: bool
) -> dict[str, Any]:
    return {
        "ok": whole,
        "walks": [
            {
                "record_id": check.walk_id,
                "status": check.status,
                "entries": check.entries,
                "ok": check.ok,
                "problems": list(check.problems),
            }
            for check in checks
        ],
        "stray_records": [str(path) for path in strays],
    }
