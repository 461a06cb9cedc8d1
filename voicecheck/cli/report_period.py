"""`voicecheck report period`: what a month, a week or a year of walks shows."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from voicecheck.report.period.figures import Figures
    from voicecheck.statistics.shifts import Shift


def period(
    first: Annotated[
        datetime,
        typer.Option("--from", formats=["%Y-%m-%d"], help="The first day."),
    ],
    last: Annotated[
        datetime,
        typer.Option("--to", formats=["%Y-%m-%d"], help="The last day."),
    ],
    unit: Annotated[
        str | None,
        typer.Option("--unit", metavar="ID", help="One machine; without it: all."),
    ] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", metavar="FILE")] = None,
    html: Annotated[Path | None, typer.Option("--html", metavar="FILE")] = None,
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE")] = None,
    shifts_per_day: Annotated[
        int, typer.Option(min=1, max=24, help="They share the 24 hours.")
    ] = 1,
    first_shift: Annotated[
        str, typer.Option(metavar="HH:MM", help="When the first shift begins.")
    ] = "06:00",
    shifts: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="CSV: unit,start,end of every shift."),
    ] = None,
    timezone: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="As Asia/Seoul; else of this computer."),
    ] = None,
    temperatures: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="CSV: date,air_c of every day."),
    ] = None,
    reference: Annotated[
        float, typer.Option(metavar="C", help="Correct tyre pressures to so many °C.")
    ] = 20.0,
    added: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="CSV: date,unit,fluid,litres filled up."),
    ] = None,
    simulated: Annotated[
        bool, typer.Option("--simulated", help="Count walks of the demo too.")
    ] = False,
    lang: Annotated[str, typer.Option("--lang", help="Language, en or ko.")] = "en",
    font: Annotated[
        Path | None,
        typer.Option("--font", metavar="FILE", help="A TrueType font to write with."),
    ] = None,
) -> None:
    """Write what a period of walks shows, for one machine or all.

    Walks against shifts, findings by zone, time to repair with open defects
    counted right, what came again after repair, readings with limits and
    trend, fluid added for 100 hours, and walks faster than anyone can look.

    Example: voicecheck report period --unit L-12 --from 2026-10-01 --to 2026-10-31 --pdf october.pdf
    """  # noqa: E501
    from voicecheck.cli.report import write  # noqa: PLC0415
    from voicecheck.report.pdf.period import period_pdf  # noqa: PLC0415
    from voicecheck.report.period import csv_files  # noqa: PLC0415
    from voicecheck.report.period.csv_text import period_csv  # noqa: PLC0415
    from voicecheck.report.period.figures import Known, figures  # noqa: PLC0415
    from voicecheck.report.period.loading import (  # noqa: PLC0415
        load_defects,
        load_walks,
    )
    from voicecheck.report.period.page import period_page  # noqa: PLC0415
    from voicecheck.store.fleet import open_fleet  # noqa: PLC0415

    if not (pdf or html or csv):
        raise typer.BadParameter("give --pdf FILE, --html FILE or --csv FILE")
    if last < first:
        raise typer.BadParameter("--to lies before --from")
    plan = csv_files.shift_plan(shifts) if shifts else ()
    air_c = csv_files.temperatures(temperatures) if temperatures else None
    filled = csv_files.added(added) if added else ()
    zone = csv_files.zone(timezone)
    begins = csv_files.time_of_day(first_shift)
    with open_fleet() as fleet:
        start = _aware(datetime.combine(first.date(), begins), zone)
        end = _aware(datetime.combine(last.date() + timedelta(days=1), begins), zone)
        lives = None if simulated else load_defects(fleet, unit, start, end)
        walks = load_walks(
            fleet, unit, start, end, simulated=simulated, looks=lives is None
        )
        names = [unit] if unit else sorted({walk.done.unit for walk in walks})
    known = Known(
        shifts=tuple(
            s for s in plan if unit in (None, s.unit) and start <= s.start < end
        )
        if shifts
        else _shifts(names, first.date(), last.date(), shifts_per_day, begins, zone),
        defects=lives,
        air_c=air_c,
        tyre_points=_tyre_points({walk.checklist for walk in walks}),
        reference_c=reference,
        added=tuple(
            one
            for one in filled
            if unit in (None, one.unit) and first.date() <= one.day <= last.date()
        ),
    )
    shown: Figures = figures(walks, known, start, end)
    if csv:
        write(csv, period_csv(shown).encode("utf-8"))
    if html:
        write(html, period_page(shown, unit=unit, language=lang).encode())
    if pdf:
        write(pdf, period_pdf(shown, unit=unit, language=lang, font=font))
    if not shown.walks:
        typer.echo("There are no walks in this period.", err=True)


def _aware(moment: datetime, zone: tzinfo | None) -> datetime:
    return moment.astimezone() if zone is None else moment.replace(tzinfo=zone)


def _shifts(
    units: list[str],
    first: date,
    last: date,
    per_day: int,
    begins: time,
    zone: tzinfo | None,
) -> tuple[Shift, ...]:
    from voicecheck.statistics.shifts import plan_shifts  # noqa: PLC0415

    return tuple(
        shift
        for unit in units
        for shift in plan_shifts(
            unit, first, last, per_day=per_day, begins=begins, zone=zone
        )
    )


def _tyre_points(checklists: set[str]) -> frozenset[str]:
    """Return the checkpoints of tyre pressure of the checklists that come along."""
    from voicecheck.checklists.files import read_checklist, shipped_files  # noqa: PLC0415

    return frozenset(
        point.id
        for path in shipped_files()
        if path.stem in checklists
        for zone in read_checklist(path).zones
        for point in zone.checkpoints
        if "tyre_pressure" in point.tags
    )
