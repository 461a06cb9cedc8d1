"""The figures of a period, from walks that are known beforehand."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest
from pypdf import PdfReader

from voicecheck.report.labels_file import languages
from voicecheck.report.pdf.period import period_pdf
from voicecheck.report.period.csv_text import COLUMNS, period_csv
from voicecheck.report.period.figures import (
    Added,
    Figures,
    Known,
    figures,
    hours_run,
)
from voicecheck.report.period.page import period_page
from voicecheck.report.period.walked import Reading, Walked
from voicecheck.statistics.defects import Seen
from voicecheck.statistics.pace import WalkPace
from voicecheck.statistics.shifts import Covered, WalkDone, plan_shifts

START = datetime(2026, 10, 1, 6, tzinfo=UTC)
END = START + timedelta(days=10)


def a_walk(
    day: int, *, bad: bool = False, kpa: float = 450, meter: float = 0
) -> Walked:
    """Return a walk of one day."""
    at = START + timedelta(days=day)
    name = f"walk-{day}"
    return Walked(
        done=WalkDone(walk_id=name, unit="L-12", start=at, signed=True),
        pace=WalkPace(walk_id=name, answers=90, too_fast=0, walking_s=1200 + day),
        operator="=J.Doe",
        checklist="wheel-loader",
        outcome="out_of_service" if bad else "may_work",
        hour_meter_h=meter or 4000 + 8 * day,
        zones=("the cab",) if bad else (),
        seen=(Seen(unit="L-12", checkpoint="horn", at=at, bad=bad),),
        readings=(
            Reading(
                unit="L-12",
                checkpoint="left_front_pressure",
                title="Left front <tyre> pressure?",
                at=at,
                value=kpa,
                measure="kPa",
                low=405,
                high=495,
            ),
        ),
        titles={"horn": "Horn?"},
    )


WALKS = tuple(
    a_walk(day, bad=day in (2, 3, 7), kpa=450 - 2 * day + day % 2) for day in range(9)
)
KNOWN = Known(
    shifts=plan_shifts(
        "L-12",
        date(2026, 10, 1),
        date(2026, 10, 10),
        per_day=1,
        begins=time(6),
        zone=UTC,
    ),
    added=(
        Added(unit="L-12", day=date(2026, 10, 4), fluid="engine oil", litres=1.5),
        Added(unit="L-12", day=date(2026, 10, 6), fluid="engine oil", litres=0.5),
    ),
)


@pytest.fixture
def shown() -> Figures:
    """Give the figures of nine walks in ten days."""
    return figures(WALKS, KNOWN, START, END)


def test_shifts_zones_and_repeats_are_counted(shown: Figures) -> None:
    """Nine of ten shifts; three findings in the cab; the horn failed twice."""
    counts = {what: shown.shifts(what) for what in Covered}

    assert counts == {Covered.DONE: 9, Covered.NOT_FINISHED: 0, Covered.MISSING: 1}
    assert [(row.name, row.count) for row in shown.zones] == [("the cab", 3)]
    assert shown.repeats == (("L-12", "Horn?", 2),)


def test_the_median_of_repairs(shown: Figures) -> None:
    """Two days and one day, both repaired: half were done after 24 h."""
    assert (shown.defects, shown.repaired) == (2, 2)
    assert shown.repair_median_h.value == 24.0
    assert not shown.from_workshop


def test_the_workshops_defects_come_first() -> None:
    """Where defects are kept, walks do not tell the time to repair."""
    known = replace(KNOWN, defects=())

    assert figures(WALKS, known, START, END).from_workshop


def test_litres_for_a_hundred_hours(shown: Figures) -> None:
    """Two litres in 64 hours of the meter: 3.125 (arithmetic)."""
    (row,) = shown.consumption

    assert (row.litres, row.hours_run, row.rate) == (2.0, 64.0, 3.125)


def test_a_meter_that_jumped_gives_no_rate() -> None:
    """More hours than have passed are not to be trusted."""
    jumped = (a_walk(0), a_walk(1, meter=4900))

    assert hours_run(jumped) is None
    (row,) = figures(jumped, KNOWN, START, END).consumption
    assert row.rate is None


def test_a_tyre_that_only_follows_the_weather_shows_no_trend() -> None:
    """450 kPa at 20 °C read in falling cold: corrected, it stands still.

    Ideal gas, absolute pressure (textbook): (450 + 101.325) * T / 293.15 K.
    """
    air_c = {
        date(2026, 10, 1) + timedelta(days=day): 20.0 - 3 * day for day in range(9)
    }
    walks = [
        a_walk(day, kpa=551.325 * (273.15 + 20 - 3 * day) / 293.15 - 101.325)
        for day in range(9)
    ]
    known = replace(KNOWN, air_c=air_c, tyre_points=frozenset({"left_front_pressure"}))

    (raw,) = figures(walks, KNOWN, START, END).series
    (corrected,) = figures(walks, known, START, END).series

    assert raw.trend is not None and raw.trend.direction == "falling"
    assert corrected.corrected
    assert corrected.values == pytest.approx([450.0] * 9, abs=0.05)


def test_a_day_without_temperature_corrects_nothing() -> None:
    """Some corrected and some not would look like a trend."""
    known = replace(
        KNOWN,
        air_c={date(2026, 10, 1): 20.0},
        tyre_points=frozenset({"left_front_pressure"}),
    )

    (series,) = figures(WALKS, known, START, END).series

    assert not series.corrected


def test_no_walks_at_all_are_a_report_too() -> None:
    """Every shift is missing; nothing else fails."""
    empty = figures([], KNOWN, START, END)

    assert empty.shifts(Covered.MISSING) == 10
    assert "There is nothing to show." in period_page(empty, unit="L-12")
    assert period_csv(empty).startswith(",".join(COLUMNS))


def test_the_csv_holds_every_figure_and_no_formula(shown: Figures) -> None:
    """One line a figure; what a spreadsheet would run is disarmed."""
    rows = list(csv.DictReader(io.StringIO(period_csv(shown))))

    by_part = {row["part"] for row in rows}
    assert by_part == {
        *("walks", "shifts", "shift", "zones", "repair", "still_open"),
        *("repeats", "readings", "added"),
    }
    assert sum(row["part"] == "readings" for row in rows) == 10
    assert not any(
        value.startswith(("=", "@")) for row in rows for value in row.values()
    )


@pytest.mark.parametrize("language", languages())
def test_the_page_escapes_and_draws(shown: Figures, language: str) -> None:
    """Charts as drawings of ours; what somebody wrote stays text."""
    page = period_page(shown, unit="L-12", language=language)

    assert page.count("<svg") == 3
    assert "<tyre>" not in page and "&lt;tyre&gt;" in page
    assert "<script" not in page and "url(" not in page


@pytest.mark.parametrize("language", languages())
def test_the_pdf_reads_back(shown: Figures, language: str) -> None:
    """The same figures in the PDF."""
    data = period_pdf(shown, unit="L-12", language=language)

    pages = PdfReader(io.BytesIO(data)).pages
    text = "".join("".join(page.extract_text() for page in pages).split())
    assert "2026-10-01" in text and "2026-10-10" in text
    assert "Leftfront<tyre>pressure?" in text
    assert "24.0" in text and "3.12" in text
