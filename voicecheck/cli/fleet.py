"""`voicecheck fleet`: the machines, their status, and their labels."""

from __future__ import annotations

import json as json_module
from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="The machines of a fleet: list, import, labels.\n\n"
    "Example: voicecheck fleet list",
)


@app.command("list")
def list_units(
    json: Annotated[
        bool, typer.Option("--json", help="Print JSON for programs.")
    ] = False,
) -> None:
    """List every machine: may it work, open defects, hour meter, last walk.

    Example: voicecheck fleet list
    """
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415

    with open_fleet() as fleet:
        units = fleet.units()
    if json:
        typer.echo(json_module.dumps([asdict(one) for one in units]))
        return
    for one in units:
        hours = "-" if one.hour_meter_h is None else f"{one.hour_meter_h:.1f} h"
        last = one.last_walk.started_utc[:10] if one.last_walk else "never"
        worst = f", worst {one.worst.value}" if one.worst else ""
        typer.echo(
            f"{one.unit:<12}  {one.checklist:<22}  {hours:>12}  walked {last:<10}  "
            f"{one.words}; {one.open_defects} open defects{worst}"
        )
    if not units:
        typer.echo("There are no units yet: voicecheck fleet import units.csv")


@app.command("import")
def import_units(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The list, CSV.")],
) -> None:
    """Take a fleet list in: unit, checklist, title, place, hour_meter_h.

    The first line names the columns; unit and checklist must be there. Units
    that are known already are brought up to date. All lines or none.

    Example: voicecheck fleet import units.csv
    """
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.errors import UsageError  # noqa: PLC0415
    from voicecheck.store.database import Database  # noqa: PLC0415
    from voicecheck.store.fleet_list import (  # noqa: PLC0415
        keep_fleet_list,
        read_fleet_list,
    )

    try:
        with file.open(encoding="utf-8-sig", newline="") as lines:
            listed = read_fleet_list(lines)
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"{file} cannot be read as UTF-8 text: {error}") from error
    with Database.open() as store:
        new, known = keep_fleet_list(store, listed, SystemClock().now())
    typer.echo(f"{new} units are new, {known} were brought up to date.")


@app.command()
def labels(
    address: Annotated[
        str,
        typer.Option(
            "--address", metavar="URL", help="Of the server that has the form."
        ),
    ],
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help="Receives the page.")
    ] = Path("labels.html"),
) -> None:
    """Draw a sheet of QR labels to print: each opens the form of its unit.

    Example: voicecheck fleet labels --address https://fleet.example:8765
    """
    from voicecheck.errors import UsageError  # noqa: PLC0415
    from voicecheck.report.unit_labels import label_sheet  # noqa: PLC0415
    from voicecheck.store.files import write_atomically  # noqa: PLC0415
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415

    with open_fleet() as fleet:
        units = fleet.units()
    if not units:
        raise UsageError("there are no units yet: voicecheck fleet import units.csv")
    write_atomically(out, label_sheet(address, units).encode())
    typer.echo(f"{len(units)} labels: {out}")
