"""`voicecheck bench store`: how long a large fleet's queries take."""

from __future__ import annotations

import json as json_module
import tempfile
import time
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from voicecheck.bench.store_queries import QueryTime
    from voicecheck.bench.store_rows import Shape

_TELL_S = 10.0


def store(
    walks: Annotated[
        int, typer.Option("--walks", min=1, help="How many, of 99 answers each.")
    ] = 100_000,
    units: Annotated[int, typer.Option("--units", min=1, help="Machines.")] = 200,
    keep: Annotated[
        Path | None,
        typer.Option(
            "--keep",
            metavar="FILE",
            help="The SQLite file; filled once, then used again, and never deleted.",
        ),
    ] = None,
    url: Annotated[
        str | None,
        typer.Option(
            "--url",
            metavar="URL",
            help="Also on this PostgreSQL database of its own, likewise.",
        ),
    ] = None,
    reports: Annotated[
        bool, typer.Option(help="Time reports of a year too; minutes for a fleet.")
    ] = True,
    json: Annotated[
        bool, typer.Option("--json", help="The figures as one JSON document.")
    ] = False,
) -> None:
    """Fill a store with invented walks and time what pages and reports ask.

    The walks are real ones repeated, with right hashes. Without --keep SQLite
    is measured in a folder that is gone afterwards; 100,000 walks need 14 GB
    there, 8 GB in PostgreSQL, and some minutes each. What was cut off goes on
    where it stopped. The exit status is 1 when a question of a page takes more
    than 50 ms (median of twenty).

    Example: voicecheck bench store --walks 5000
    """
    from voicecheck.bench.store_rows import Shape  # noqa: PLC0415

    shape = Shape(walks=walks, units=units)
    with tempfile.TemporaryDirectory() as folder:
        places: list[tuple[str, Path | str]] = [
            ("SQLite", keep or Path(folder) / "bench.sqlite3")
        ]
        if url is not None:
            places.append(("PostgreSQL", url))
        found = [
            _measured(name, where, shape, reports=reports, json=json)
            for name, where in places
        ]
    if json:
        typer.echo(json_module.dumps(found, indent=2))
    if not all(one["met"] for one in found):
        raise typer.Exit(1)


def _measured(
    name: str, where: Path | str, shape: Shape, *, reports: bool, json: bool
) -> dict[str, Any]:
    from voicecheck.bench import store_queries  # noqa: PLC0415
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415
    from voicecheck.store.journal import open_journal  # noqa: PLC0415

    with open_fleet(where) as fleet, open_journal(where) as journal:
        found = _filled(name, where, shape)
        found["entries"] = store_queries.count_entries(fleet)
        if not json:
            typer.echo(_head(found))
        times: list[QueryTime] = []
        questions = store_queries.page_questions(fleet, journal, shape)
        if reports:
            questions += store_queries.other_questions(fleet, journal, shape)
        for question in questions:
            times.append(store_queries.measure(question))
            if not json:
                typer.echo(_line(times[-1]))
    met = all(one.met for one in times)
    return {**found, "met": met, "questions": [asdict(one) for one in times]}


def _filled(name: str, where: Path | str, shape: Shape) -> dict[str, Any]:
    from voicecheck.bench.store_filling import fill  # noqa: PLC0415
    from voicecheck.store.database import Database  # noqa: PLC0415

    began_s = told_s = time.perf_counter()

    def tell(stored: int) -> None:
        nonlocal told_s
        if time.perf_counter() - told_s > _TELL_S:
            told_s = time.perf_counter()
            typer.echo(f"{name}: {stored} of {shape.walks} walks", err=True)

    with Database.open(where) as store:
        there = fill(store, shape, tell=tell)
    return {
        "database": name,
        "walks": shape.walks,
        "units": shape.units,
        "were_there": there,
        "filled_s": round(time.perf_counter() - began_s, 1),
    }


def _head(found: dict[str, Any]) -> str:
    new = found["walks"] - found["were_there"]
    return (
        f"{found['database']}: {found['walks']} walks of {found['units']} units, "
        f"{found['entries']} entries; {new} new in {found['filled_s']:.0f} s\n"
        f"{'':<38} {'rows':>7} {'statements':>10} {'p50 ms':>9} {'p95 ms':>9} "
        f"{'best':>8} {'processor':>9}"
    )


def _line(one: QueryTime) -> str:
    goal = "" if not one.for_a_page else ("  ok" if one.met else "  TOO SLOW")
    return (
        f"{one.name:<38} {one.rows:>7} {one.statements:>10} {one.median_ms:>9.1f} "
        f"{one.p95_ms:>9.1f} {one.best_ms:>8.1f} {one.cpu_ms:>9.1f}{goal}"
    )
