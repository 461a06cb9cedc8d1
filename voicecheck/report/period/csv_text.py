"""The figures of a period as CSV: one line for each figure."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import timedelta

from voicecheck.report.period.figures import Figures, Series
from voicecheck.statistics.shifts import Covered

COLUMNS = ("part", "unit", "name", "figure", "value", "low", "high", "measure")
"""`low` and `high` are limits of readings, else bounds of 95 % intervals."""

_FORMULA = ("=", "+", "-", "@", "\t", "\r")

Row = tuple[object, ...]


def period_csv(figures: Figures) -> str:
    """Return the figures as CSV (RFC 4180), with a head.

    A text that a spreadsheet would run as a formula gets an apostrophe in front.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in _rows(figures):
        writer.writerow([_safe(value) for value in row])
    return out.getvalue()


def _rows(figures: Figures) -> Iterator[Row]:
    for name, count in sorted(figures.outcomes.items()):
        yield "walks", "", name, "count", count, "", "", ""
    for what in Covered:
        yield "shifts", "", what.value, "count", figures.shifts(what), "", "", ""
    for one in figures.cover:
        start = one.shift.start.isoformat()
        yield "shift", one.shift.unit, start, one.covered.value, "", "", "", ""
    for row in figures.zones:
        yield "zones", "", row.name, "findings", row.count, "", "", ""
        yield "zones", "", row.name, "cumulative", row.cumulative, "", "", ""
    median = figures.repair_median_h
    yield (
        "repair",
        "",
        "median",
        "",
        *_figures(median.value, median.low, median.high),
        "h",
    )
    yield "repair", "", "defects", "count", figures.defects, "", "", ""
    yield "repair", "", "repaired", "count", figures.repaired, "", "", ""
    for step in figures.repair:
        share = _figures(step.survival, step.low, step.high)
        yield "still_open", "", f"{step.time:g}", "share", *share, ""
    for unit, point, count in figures.repeats:
        yield "repeats", unit, point, "found", count, "", "", ""
    for series in figures.series:
        yield from _series(figures, series)
    for used in figures.consumption:
        rate = "" if used.rate is None else used.rate
        yield "added", used.unit, used.fluid, "litres", used.litres, "", "", "l"
        yield "added", used.unit, used.fluid, "rate", rate, "", "", "l/100 h"
    for walk, why in figures.hurried:
        each, name = walk.pace.seconds_each, " ".join(sorted(why))
        yield "fast_walks", walk.done.unit, walk.done.walk_id, name, each, "", "", "s"


def _series(figures: Figures, series: Series) -> Iterator[Row]:
    part, unit, name = "readings", series.unit, series.checkpoint
    limits = _figures(series.low, series.high)
    for day, value in zip(series.days, series.values, strict=True):
        at = (figures.start + timedelta(days=day)).isoformat(timespec="seconds")
        yield part, unit, name, at, value, *limits, series.measure
    if series.trend is not None:
        trend = series.trend
        slope = _figures(trend.slope, trend.slope_low, trend.slope_high)
        yield part, unit, name, "trend", *slope, f"{series.measure}/d"


def _figures(*values: float | None) -> tuple[object, ...]:
    return tuple("" if value is None else value for value in values)


def _safe(value: object) -> object:
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"
    return value
