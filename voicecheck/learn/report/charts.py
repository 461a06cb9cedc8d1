"""Figures over time as lines with their intervals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from voicecheck.report.period.charts import HEIGHT, WIDTH, Chart, Line, Shape, Words
from voicecheck.statistics.interval import Interval

__all__ = ["interval_chart", "line_chart"]

_LEFT, _RIGHT, _TOP, _BOTTOM = 40.0, 24.0, 14.0, 34.0
_SOFT = "#737c84"
_MOST_DATES = 8
Item = Line | Shape | Words


def interval_chart(values: Sequence[tuple[str, float, Interval]], title: str) -> Chart:
    """Draw a figure over time, a bar for each interval; 0 is dashed.

    Args:
        values: date in words, figure, interval; at least one.
        title: of the chart.
    """
    low = min(0.0, *(interval.low for _, _, interval in values))
    high = max(0.0, *(interval.high for _, _, interval in values))
    frame = _Frame(len(values), low, high)
    items: list[Item] = [frame.level(0.0)]
    for place, (_, _, interval) in enumerate(values):
        x = frame.x(place)
        ends = frame.y(interval.low), frame.y(interval.high)
        items.append(Line(points=((x, ends[0]), (x, ends[1])), width=1.2))
        items += [Line(points=((x - 4, end), (x + 4, end)), width=1.2) for end in ends]
    items += frame.line([value for _, value, _ in values])
    items += frame.axes([date for date, _, _ in values])
    return Chart(title=title, items=tuple(items))


def line_chart(
    values: Sequence[tuple[str, float]], title: str, *, low: float, high: float
) -> Chart:
    """Draw a figure over time between two bounds; 0 is dashed."""
    frame = _Frame(len(values), low, high)
    items: list[Item] = [frame.level(0.0)]
    items += frame.line([value for _, value in values])
    items += frame.axes([date for date, _ in values])
    return Chart(title=title, items=tuple(items))


class _Frame:
    """Where dates and values lie on the drawing."""

    def __init__(self, count: int, low: float, high: float) -> None:
        spread = (high - low) or 1.0
        self._count = count
        self._low, self._high = low - 0.05 * spread, high + 0.05 * spread
        self._ends = (low, high)

    def x(self, place: int) -> float:
        room = WIDTH - _LEFT - _RIGHT - 24
        return _LEFT + 12 + room * (place / max(self._count - 1, 1))

    def y(self, value: float) -> float:
        part = (value - self._low) / (self._high - self._low)
        return HEIGHT - _BOTTOM - part * (HEIGHT - _TOP - _BOTTOM)

    def level(self, value: float) -> Line:
        at = self.y(value)
        return Line(
            points=((_LEFT, at), (WIDTH - _RIGHT, at)), dashed=True, colour=_SOFT
        )

    def line(self, values: Sequence[float]) -> Iterator[Item]:
        places = [(self.x(n), self.y(value)) for n, value in enumerate(values)]
        if len(places) > 1:
            yield Line(points=tuple(places), width=1.8)
        for x, y in places:
            yield Shape(
                points=((x - 3, y - 3), (x + 3, y - 3), (x + 3, y + 3), (x - 3, y + 3)),
                colour="#14181c",
            )

    def axes(self, dates: Sequence[str]) -> Iterator[Item]:
        base = HEIGHT - _BOTTOM
        yield Line(points=((_LEFT, _TOP), (_LEFT, base), (WIDTH - _RIGHT, base)))
        for value in sorted({0.0, *self._ends}):
            yield Words(
                x=_LEFT - 5, y=self.y(value) + 4, text=f"{value:.1f}", anchor="end"
            )
        step = max(1, -(-len(dates) // _MOST_DATES))
        for place in range(0, len(dates), step):
            yield Words(x=self.x(place), y=base + 14, text=dates[place])
