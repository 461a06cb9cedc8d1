"""Charts as plain lines, boxes and words, for a page and for a PDF alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from voicecheck.report.period.figures import Series
from voicecheck.statistics.pareto import ParetoRow
from voicecheck.statistics.survival import SurvivalStep

WIDTH, HEIGHT = 480.0, 200.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 52.0, 12.0, 14.0, 34.0
_INK, _SOFT, _TINT = "#14181c", "#737c84", "#d3d8dc"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line through points."""

    points: tuple[tuple[float, float], ...]
    width: float = 1.0
    colour: str = _INK
    dashed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A filled outline."""

    points: tuple[tuple[float, float], ...]
    colour: str = _TINT


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A short text; `x` is its left edge, middle or right edge."""

    x: float
    y: float
    """Of the base line."""
    text: str
    anchor: str = "middle"
    """start, middle or end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A drawing of `WIDTH` by `HEIGHT`, y down, 1 unit about a third of a mm."""

    title: str
    items: tuple[Line | Shape | Words, ...]

    def svg(self) -> str:
        """Return the chart as SVG for a page; every text is escaped."""
        title = escape(self.title)
        body = "".join(_svg(item) for item in self.items)
        return (
            f'<svg viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" '
            f'aria-label="{title}" xmlns="http://www.w3.org/2000/svg" '
            'font-family="system-ui, sans-serif" font-size="11">'
            f"<title>{title}</title>{body}</svg>"
        )


def pareto_chart(rows: Sequence[ParetoRow], title: str) -> Chart:
    """Draw bars by falling count, with the cumulative share as a line."""
    rows = rows[:12]
    most = rows[0].count if rows else 1
    step = (WIDTH - _LEFT - _RIGHT) / max(len(rows), 1)
    items: list[Line | Shape | Words] = []
    line = []
    for place, row in enumerate(rows):
        left, right = _LEFT + place * step + 3, _LEFT + (place + 1) * step - 3
        top = _y(row.count, 0, most)
        items.append(Shape(points=_box(left, top, right, HEIGHT - _BOTTOM)))
        middle = (left + right) / 2
        items.append(Words(x=middle, y=top - 3, text=str(row.count)))
        items.append(Words(x=middle, y=HEIGHT - _BOTTOM + 14, text=str(place + 1)))
        line.append((middle, _y(row.cumulative, 0, 1)))
    items += [Line(points=tuple(line), width=1.5), *_axes()]
    for share in (0, 0.5, 1):
        at = _y(share, 0, 1) + 4
        items.append(Words(x=_LEFT - 5, y=at, text=f"{share:.0%}", anchor="end"))
    return Chart(title=title, items=tuple(items))


def survival_chart(steps: Sequence[SurvivalStep], title: str, unit: str) -> Chart:
    """Draw the share still open as a staircase."""
    last = max((step.time for step in steps), default=1.0) or 1.0
    points, share = [(0.0, 1.0)], 1.0
    for step in steps:
        points += [(step.time, share), (step.time, step.survival)]
        share = step.survival
    points.append((last * 1.05, share))
    shown = tuple((_x(t, 0, last * 1.05), _y(s, 0, 1)) for t, s in points)
    half = _y(0.5, 0, 1)
    items: list[Line | Shape | Words] = [
        Line(points=((_LEFT, half), (WIDTH - _RIGHT, half)), dashed=True, colour=_SOFT),
        Line(points=shown, width=1.8),
        *_axes(),
    ]
    for part in (0, 0.5, 1):
        at = _y(part, 0, 1) + 4
        items.append(Words(x=_LEFT - 5, y=at, text=f"{part:.0%}", anchor="end"))
    for part in (0.0, 0.5, 1.0):
        x = _x(last * part, 0, last * 1.05)
        text = f"{last * part:.0f} {unit}"
        items.append(Words(x=x, y=HEIGHT - _BOTTOM + 14, text=text))
    return Chart(title=title, items=tuple(items))


def series_chart(series: Series, title: str, days: Sequence[str]) -> Chart:
    """Draw readings over time with limits, trend and its interval.

    Args:
        series: what to draw.
        title: of the chart.
        days: dates of the first and the last reading, in words.
    """
    limits = [v for v in (series.low, series.high) if v is not None]
    every = [*series.values, *limits]
    spread = (max(every) - min(every)) or 1.0
    low, high = min(every) - 0.1 * spread, max(every) + 0.1 * spread
    first, last = min(series.days), max(series.days)
    last = last if last > first else first + 1

    def place(day: float, value: float) -> tuple[float, float]:
        return _x(day, first, last), _y(min(max(value, low), high), low, high)

    items: list[Line | Shape | Words] = []
    if series.trend is not None:
        steps = [first + (last - first) * n / 24 for n in range(25)]
        band = [(day, *series.trend.at(day)) for day in steps]
        upper = [place(day, top) for day, _, _, top in band]
        lower = [place(day, bottom) for day, _, bottom, _ in reversed(band)]
        items.append(Shape(points=(*upper, *lower)))
        items.append(Line(points=tuple(place(d, y) for d, y, _, _ in band), width=1.5))
    for limit in limits:
        at = place(first, limit)[1]
        items.append(Line(points=((_LEFT, at), (WIDTH - _RIGHT, at)), dashed=True))
        items.append(Words(x=_LEFT - 5, y=at + 4, text=f"{limit:g}", anchor="end"))
    for day, value in zip(series.days, series.values, strict=True):
        x, y = place(day, value)
        items.append(
            Shape(points=_box(x - 2.2, y - 2.2, x + 2.2, y + 2.2), colour=_INK)
        )
    items += _axes()
    items.append(Words(x=_LEFT, y=_TOP - 3, text=series.measure, anchor="end"))
    base = HEIGHT - _BOTTOM + 14
    items.append(Words(x=_LEFT, y=base, text=days[0], anchor="start"))
    items.append(Words(x=WIDTH - _RIGHT, y=base, text=days[-1], anchor="end"))
    return Chart(title=title, items=tuple(items))


def _axes() -> Iterator[Line]:
    base = HEIGHT - _BOTTOM
    yield Line(points=((_LEFT, _TOP), (_LEFT, base), (WIDTH - _RIGHT, base)))


def _x(value: float, low: float, high: float) -> float:
    return _LEFT + (value - low) / (high - low) * (WIDTH - _LEFT - _RIGHT)


def _y(value: float, low: float, high: float) -> float:
    room = HEIGHT - _TOP - _BOTTOM
    return HEIGHT - _BOTTOM - (value - low) / (high - low) * room


def _box(
    left: float, top: float, right: float, bottom: float
) -> tuple[tuple[float, float], ...]:
    return (left, top), (right, top), (right, bottom), (left, bottom)


def _svg(item: Line | Shape | Words) -> str:
    match item:
        case Words():
            return (
                f'<text x="{item.x:.1f}" y="{item.y:.1f}" '
                f'text-anchor="{item.anchor}">{escape(item.text)}</text>'
            )
        case Shape():
            return f'<polygon points="{_points(item.points)}" fill="{item.colour}"/>'
    dashes = ' stroke-dasharray="5 4"' if item.dashed else ""
    return (
        f'<polyline points="{_points(item.points)}" fill="none" '
        f'stroke="{item.colour}" stroke-width="{item.width:g}"{dashes}/>'
    )


def _points(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
