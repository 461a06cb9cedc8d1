"""A report of a period as headings, sentences, tables and charts.

One list of parts for the page and the PDF, so that both say the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from voicecheck.report.labels_file import Labels
from voicecheck.report.period.charts import (
    Chart,
    pareto_chart,
    series_chart,
    survival_chart,
)
from voicecheck.report.period.figures import Figures, Series
from voicecheck.statistics.shifts import Covered
from voicecheck.statistics.trend import Trend

_TREND_DAYS = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """Begins a part."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """A paragraph."""

    text: str
    soft: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows below a head."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]


Part = Heading | Sentence | Table | Chart


def title(figures: Figures, at: Labels, unit: str | None) -> str:
    """Return the title of a report."""
    period = at["period"]
    whose = period["fleet"] if unit is None else f"{at['page']['unit']} {unit}"
    first = f"{figures.start:%Y-%m-%d}"
    last = f"{figures.end - timedelta(days=1):%Y-%m-%d}"
    return f"{period['title']}: {whose}, {first} {period['to']} {last}"


def parts(figures: Figures, at: Labels) -> Iterator[Part]:
    """Return all parts of a report in order."""
    yield from _walks(figures, at)
    yield from _zones(figures, at)
    yield from _repair(figures, at)
    yield from _repeats(figures, at)
    yield from _readings(figures, at)
    yield from _consumption(figures, at)
    yield from _hurried(figures, at)
    yield Sentence(text=at["text"]["first"], soft=True)


def _walks(figures: Figures, at: Labels) -> Iterator[Part]:
    period = at["period"]
    yield Heading(text=period["walks"])
    all_shifts = len(figures.cover)
    rows = [(period["walks_all"], str(figures.walks), "")]
    rows += [
        (at["outcome"][name], str(figures.outcomes.get(name, 0)), "")
        for name in at["outcome"]
    ]
    rows.append((period["shifts"], str(all_shifts), ""))
    for what in Covered:
        count = figures.shifts(what)
        share = f"{count / all_shifts:.0%}" if all_shifts else ""
        rows.append((f"{period['shifts']} {period[what.value]}", str(count), share))
    yield Table(head=(), rows=tuple(rows), widths=(110, 30, 40))
    missing = [one.shift for one in figures.cover if one.covered is not Covered.DONE]
    if missing:
        shown = [f"{s.unit} {s.start:%Y-%m-%d %H:%M}" for s in missing[:40]]
        more = f" + {len(missing) - 40}" if len(missing) > 40 else ""
        yield Sentence(text=f"{period['missing']}: {', '.join(shown)}{more}", soft=True)


def _zones(figures: Figures, at: Labels) -> Iterator[Part]:
    period = at["period"]
    yield Heading(text=period["zones"])
    if not figures.zones:
        yield Sentence(text=period["none"])
        return
    yield pareto_chart(figures.zones, period["zones"])
    head = (at["columns"]["number"], period["zone"], period["count"])
    yield Table(
        head=(*head, period["share"], period["cumulative"]),
        rows=tuple(
            (
                str(n),
                row.name,
                str(row.count),
                f"{row.share:.0%}",
                f"{row.cumulative:.0%}",
            )
            for n, row in enumerate(figures.zones, start=1)
        ),
        widths=(15, 90, 25, 25, 25),
    )


def _repair(figures: Figures, at: Labels) -> Iterator[Part]:
    period, median = at["period"], figures.repair_median_h
    yield Heading(text=period["repair"])
    if not figures.defects:
        yield Sentence(text=period["none"])
        return
    hours = period["hours"]
    value = period["not_reached"]
    if median.value is not None:
        value = f"{median.value:.1f} {hours}"
    bounds = " – ".join(
        "∞" if b is None else f"{b:.1f}" for b in (median.low, median.high)
    )
    yield Table(
        head=(),
        rows=(
            (period["median"], value),
            (period["interval"], f"{bounds} {hours}"),
            (period["defects"], str(figures.defects)),
            (period["repaired"], str(figures.repaired)),
            (period["open"], str(figures.defects - figures.repaired)),
        ),
        widths=(100, 80),
    )
    source = "from_defects" if figures.from_workshop else "from_walks"
    yield Sentence(text=period[source], soft=True)
    if figures.repair:
        yield survival_chart(figures.repair, period["still_open"], hours)


def _repeats(figures: Figures, at: Labels) -> Iterator[Part]:
    period = at["period"]
    yield Heading(text=period["repeats"])
    if not figures.repeats:
        yield Sentence(text=period["none"])
        return
    yield Table(
        head=(at["page"]["unit"], at["columns"]["point"], period["times"]),
        rows=tuple((unit, point, str(n)) for unit, point, n in figures.repeats),
        widths=(30, 120, 30),
    )


def _readings(figures: Figures, at: Labels) -> Iterator[Part]:
    period = at["period"]
    yield Heading(text=period["readings"])
    if not figures.series:
        yield Sentence(text=period["none"])
        return
    yield Sentence(text=period["line"], soft=True)
    if not any(series.corrected for series in figures.series):
        yield Sentence(text=period["uncorrected"], soft=True)
    for series in figures.series:
        name = f"{series.unit}: {series.title}"
        if series.corrected:
            name += f" ({period['corrected']} {figures.reference_c:g} °C)"
        yield Sentence(text=f"{name} {trend_words(series, at)}")
        ends = (min(series.days), max(series.days))
        dates = [f"{figures.start + timedelta(days=day):%Y-%m-%d}" for day in ends]
        yield series_chart(series, name, dates)


def trend_words(series: Series, at: Labels) -> str:
    """Return the trend of a series with its interval, in words."""
    period = at["period"]
    trend: Trend | None = series.trend
    if trend is None:
        return f"{period['trend']}: {period['few']}"
    change, low, high = (
        value * _TREND_DAYS
        for value in (trend.slope, trend.slope_low, trend.slope_high)
    )
    return (
        f"{period['trend']}: {change:+.3g} {series.measure} {period['per_30_days']} "
        f"({period['interval']} {low:+.3g} … {high:+.3g}), {period[trend.direction]}"
    )


def _consumption(figures: Figures, at: Labels) -> Iterator[Part]:
    if not figures.consumption:
        return
    period = at["period"]
    yield Heading(text=period["oil"])
    yield Table(
        head=(
            at["page"]["unit"],
            at["columns"]["what"],
            "l",
            at["page"]["hour_meter"],
            period["oil_100"],
        ),
        rows=tuple(
            (
                row.unit,
                row.fluid,
                f"{row.litres:g}",
                "?" if row.hours_run is None else f"{row.hours_run:.1f} h",
                "?" if row.rate is None else f"{row.rate:.2f}",
            )
            for row in figures.consumption
        ),
        widths=(30, 50, 25, 35, 40),
    )


def _hurried(figures: Figures, at: Labels) -> Iterator[Part]:
    period = at["period"]
    yield Heading(text=period["hurry"])
    if not figures.hurried:
        yield Sentence(text=period["none"])
        return
    yield Sentence(text=period["hurry_note"])
    yield Table(
        head=(
            period["walk"],
            at["page"]["unit"],
            at["page"]["operator"],
            at["page"]["started"],
            period["seconds_each"],
            at["sections"]["why"],
        ),
        rows=tuple(
            (
                walk.done.walk_id[:8],
                walk.done.unit,
                walk.operator,
                f"{walk.done.start:%Y-%m-%d %H:%M}",
                f"{walk.pace.seconds_each:.1f}",
                "; ".join(period[reason.value] for reason in sorted(why)),
            )
            for walk, why in figures.hurried
        ),
        widths=(22, 18, 25, 33, 22, 60),
    )
