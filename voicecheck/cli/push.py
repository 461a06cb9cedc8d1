"""`voicecheck push`: bring what this device has to another store."""

from __future__ import annotations

import json as json_module
from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from voicecheck.store.transfer import Transfer


def push(
    to: Annotated[
        str,
        typer.Option(
            "--to",
            metavar="URL",
            help="The other store: an SQLite file, or postgresql://user@host/name.",
        ),
    ],
    json: Annotated[
        bool, typer.Option("--json", help="Print the result as JSON.")
    ] = False,
) -> None:
    """Bring walks, records and defects of this device to another store.

    As often as you like: what is there already is not written again, and a push
    that was cut goes on where it was. The chain of hashes is verified here and at
    the far end. When two devices wrote about one unit without each other, all is
    kept and the conflict is named. The exit status is 1 when something could not
    be brought over; it is still here then. This command opens a network
    connection when the URL asks for one.

    Example: voicecheck push --to postgresql://voicecheck@fleet.example/voicecheck
    """
    from voicecheck import settings  # noqa: PLC0415
    from voicecheck.errors import UsageError  # noqa: PLC0415
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415
    from voicecheck.store.transfer import transfer  # noqa: PLC0415

    with open_fleet() as near, open_fleet(to) as far:
        if near.place == far.place:
            raise UsageError("--to names this very store; give the other one")
        result = transfer(near, far, folder=settings.home(), progress=say_progress)
        units = {status.unit for status in near.units()}
        conflicts = [one for one in far.conflicts() if one.unit in units]
    if json:
        data = {**asdict(result), "conflicts": [asdict(one) for one in conflicts]}
        typer.echo(json_module.dumps(data, ensure_ascii=False))
    else:
        typer.echo(summary(result))
        for one in conflicts:
            ids = ", ".join(one_id[:8] for one_id in (*one.defect_ids, *one.walk_ids))
            typer.echo(f"{one.unit}: {one.words}, both are kept ({ids})")
    if not result.ok:
        raise typer.Exit(1)


def say_progress(done: int, total: int) -> None:
    """Say on the standard error how far it is, now and then."""
    if done % 500 == 0 or (done == total and total > 500):
        typer.echo(f"{done} of {total}", err=True)


def summary(result: Transfer) -> str:
    """Return what was brought over, in words."""
    lines = [
        f"Brought over: {result.walks} walks with {result.entries} entries and "
        f"{result.records} records, {result.defects} defects; "
        f"{result.unchanged} were there already.",
        *(f"NOT brought over: {problem}" for problem in result.problems),
    ]
    return "\n".join(lines)
