"""`voicecheck defects`: what is open, what was done about it, who released it."""

from __future__ import annotations

import json as json_module
from dataclasses import asdict
from datetime import datetime
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from voicecheck.defects.events import DefectEvent
    from voicecheck.defects.story import Defect, Happening

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Defects from found, through being repaired and repaired, to checked.\n\n"
    "A walk opens them, or joins the one that is open at the same point. An id may "
    "be cut to its first characters, four at least. The machine's manual, local "
    "law, the site's rules and a competent person come first.\n\n"
    "Example: voicecheck defects list --unit L-12",
)

_Id = Annotated[
    str, typer.Argument(metavar="ID", help="The defect's id, or how it begins.")
]
_By = Annotated[str, typer.Option("--by", metavar="ID", help="Who.")]
_Json = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]
_Note = Annotated[str, typer.Option("--note", metavar="TEXT", help="In your words.")]


@app.command("list")
def list_defects(
    unit: Annotated[
        str | None, typer.Option("--unit", metavar="ID", help="Only this machine.")
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Also those that are checked.")
    ] = False,
    json: _Json = False,
) -> None:
    """List open defects, the worst first, then the oldest.

    Example: voicecheck defects list --unit L-12
    """
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415

    with open_fleet() as fleet:
        found = fleet.defects(unit) if every else fleet.open_defects(unit)
        conflicts = fleet.conflicts(unit)
    if json:
        typer.echo(json_module.dumps([_data(one) for one in found], ensure_ascii=False))
        return
    for one in found:
        typer.echo(_line(one))
    if not found:
        typer.echo("There are no defects." if every else "There are no open defects.")
    for conflict in conflicts:
        ids = ", ".join(one[:8] for one in (*conflict.defect_ids, *conflict.walk_ids))
        typer.echo(f"{conflict.unit}: {conflict.words} ({ids})", err=True)


@app.command()
def show(defect_id: _Id, json: _Json = False) -> None:
    """Show a defect and everything that happened to it.

    Example: voicecheck defects show 6b03a8bd
    """
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415
    from voicecheck.store.workshop import Workshop  # noqa: PLC0415

    with Workshop.open() as workshop, open_fleet() as fleet:
        found = fleet.defect(workshop.find(defect_id))
    if json:
        data = {**_data(found.defect), "story": [_event(one) for one in found.story]}
        typer.echo(json_module.dumps(data, ensure_ascii=False))
        return
    typer.echo(_line(found.defect))
    if found.defect.conflict:
        typer.echo("Two devices went on with it without each other; both are kept.")
    for one in found.story:
        typer.echo(_happening(one))


@app.command()
def start(defect_id: _Id, by: _By, note: _Note = "") -> None:
    """Say that somebody has taken a defect in hand.

    Example: voicecheck defects start 6b03a8bd --by M.Roe
    """
    from voicecheck.defects.events import RepairStarted  # noqa: PLC0415

    _write(defect_id, RepairStarted(note=note), by)


@app.command()
def done(
    defect_id: _Id,
    by: _By,
    what: Annotated[str, typer.Option("--what", metavar="TEXT", help="What was done.")],
    parts: Annotated[
        str, typer.Option("--parts", metavar="TEXT", help="Parts that were used.")
    ] = "",
    hours: Annotated[
        float, typer.Option("--hours", min=0.0, help="Hours of work.")
    ] = 0.0,
) -> None:
    """Say that a defect was repaired; it still has to be checked.

    Example: voicecheck defects done 6b03a8bd --by M.Roe --what "new hose"
    """
    from voicecheck.defects.events import RepairDone  # noqa: PLC0415

    _write(defect_id, RepairDone(done=what, parts=parts, hours_h=hours), by)


@app.command()
def check(
    defect_id: _Id,
    by: _By,
    bad: Annotated[
        bool, typer.Option("--bad", help="It is not good: repair it again.")
    ] = False,
    note: _Note = "",
) -> None:
    """Say that somebody looked at a repair, and whether it is good.

    Example: voicecheck defects check 6b03a8bd --by C.Poe
    """
    from voicecheck.defects.events import RepairChecked  # noqa: PLC0415

    _write(defect_id, RepairChecked(good=not bad, note=note), by)


@app.command()
def release(
    unit: Annotated[str, typer.Argument(metavar="UNIT", help="The machine.")],
    by: Annotated[
        str, typer.Option("--by", metavar="ID", help="The competent person.")
    ],
    note: _Note = "",
) -> None:
    """Put a machine that is out of service back to work.

    Only a competent person may. Every defect that holds it must be repaired; a
    repair that nobody has checked yet counts as checked by the same person.

    Example: voicecheck defects release L-12 --by C.Poe
    """
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.store.workshop import Workshop  # noqa: PLC0415

    with Workshop.open() as workshop:
        freed = workshop.release(unit, at=SystemClock().now(), by=by, note=note)
    for one in freed:
        typer.echo(_line(one))
    typer.echo(f"{freed[0].unit} is released by {by}. Walk round it before it works.")


def _write(prefix: str, event: DefectEvent, by: str) -> None:
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.store.workshop import Workshop  # noqa: PLC0415

    with Workshop.open() as workshop:
        defect_id = workshop.find(prefix)
        defect = workshop.record(defect_id, event, at=SystemClock().now(), by=by)
    typer.echo(_line(defect))


def _line(one: Defect) -> str:
    from voicecheck.defects.steps import words  # noqa: PLC0415

    holds = "  OUT OF SERVICE" if one.holding else ""
    seen = f", seen {one.sightings} times" if one.sightings > 1 else ""
    found = datetime.fromisoformat(one.found_utc).astimezone()
    return (
        f"{one.defect_id[:8]}  {one.unit:<12}  {one.severity.value:<8}  "
        f"{words(one.state):<14}  {found:%Y-%m-%d}  "
        f"{one.title} {one.words}{seen}{holds}"
    )


def _happening(one: Happening) -> str:
    from voicecheck.defects.steps import event_data, kind_of  # noqa: PLC0415

    at = datetime.fromisoformat(one.at_utc).astimezone()
    data = event_data(one.event)
    seen = data.pop("sighting", {})
    data = {**data, **seen}
    told = "; ".join(
        f"{name.removesuffix('_h')} {value}"
        for name, value in data.items()
        if value not in ("", [], None) and name not in ("unit", "title", "walk_id")
    )
    kind = kind_of(one.event).replace("_", " ")
    return f"  {at:%Y-%m-%d %H:%M}  {one.by:<12}  {kind:<14}  {told}"


def _data(one: Defect) -> dict[str, Any]:
    return {**asdict(one), "open": one.open, "heads": list(one.heads)}


def _event(one: Happening) -> dict[str, Any]:
    from voicecheck.defects.steps import event_data, kind_of  # noqa: PLC0415

    return {
        "seq": one.seq,
        "at_utc": one.at_utc,
        "by": one.by,
        "kind": kind_of(one.event),
        "event": event_data(one.event),
        "previous": list(one.previous),
        "sha256": one.sha256,
    }
