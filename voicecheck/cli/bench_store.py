"""`voicecheck bench store`: how long a large fleet's queries take."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from voicecheck.bench.store_rows import Shape


def store(
    walks: Annotated[
        int, typer.Option("--walks", min=1, help="How many, of 90 answers each.")
    ] = 100_000,
    units: Annotated[int, typer.Option("--units", min=1, help="Machines.")] = 200,
    url: Annotated[
        str | None,
        typer.Option(
            "--url",
            metavar="URL",
            help="Also on this empty PostgreSQL database, which is then filled.",
        ),
    ] = None,
) -> None:
    """Fill a store with invented walks and time what pages and reports ask.

    SQLite is measured in a folder that is gone afterwards; 100,000 walks need
    about 5 GB there. The exit status is 1 when a question of a page takes more
    than 50 ms (median of seven).

    Example: voicecheck bench store --walks 5000
    """
    from voicecheck.bench.store_rows import Shape  # noqa: PLC0415

    shape = Shape(walks=walks, units=units)
    with tempfile.TemporaryDirectory() as folder:
        met = _measured("SQLite", Path(folder) / "bench.sqlite3", shape)
    if url is not None:
        met = _measured("PostgreSQL", url, shape) and met
    if not met:
        raise typer.Exit(1)


def _measured(name: str, where: Path | str, shape: Shape) -> bool:
    from voicecheck.bench.store_queries import (  # noqa: PLC0415
        count_entries,
        measure,
        prepare,
    )
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415

    met = True
    with open_fleet(where) as fleet:
        took_s = prepare(fleet, shape)
        typer.echo(
            f"{name}: {shape.walks} walks of {shape.units} units, "
            f"{count_entries(fleet)} entries, filled in {took_s:.0f} s"
        )
        for one in measure(fleet, shape):
            goal = "" if not one.for_a_page else ("  ok" if one.met else "  TOO SLOW")
            typer.echo(
                f"  {one.name:<26}  {one.rows:>7} rows  {one.median_ms:>8.1f} ms  "
                f"worst {one.worst_ms:>8.1f} ms  processor {one.cpu_ms:>7.1f} ms{goal}"
            )
            met = met and one.met
    return met
