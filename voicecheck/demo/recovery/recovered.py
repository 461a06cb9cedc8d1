"""What was put in, and what came out, over many seeds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from voicecheck.statistics.interval import Interval
from voicecheck.statistics.means import mean_of
from voicecheck.statistics.proportions import wilson


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure of one seed."""

    name: str
    truth: float
    value: float | None
    """None: too few to tell."""
    interval: Interval | None
    """None: the figure has none."""
    factor: bool = False
    """It multiplies something, so its middle is the geometric mean."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovered:
    """One figure over all seeds."""

    name: str
    truth: float
    seeds: int
    told: int
    """Seeds in which the figure could be told."""
    middle: float | None
    """Mean over the seeds; of a factor the geometric mean."""
    middle_interval: Interval | None
    """95 %: only for the chance of the seeds, not for one learner."""
    held: int
    """Seeds whose interval holds the truth."""
    with_interval: int
    coverage_interval: Interval | None
    """Wilson's, of held among with_interval; None where there is no interval."""
    width: float | None
    """Mean width of the interval of one seed: how much one learner's figure says."""

    @property
    def coverage(self) -> float | None:
        """Return the share of intervals that hold the truth; 0.95 is promised."""
        return self.held / self.with_interval if self.with_interval else None


def recover(seeds: Iterable[Sequence[Figure]]) -> tuple[Recovered, ...]:
    """Sum the figures of all seeds up, each by its name.

    Raises:
        ValueError: one figure has two truths.
    """
    by_name: dict[str, list[Figure]] = {}
    for figures in seeds:
        for one in figures:
            by_name.setdefault(one.name, []).append(one)
    return tuple(_sum_up(name, figures) for name, figures in by_name.items())


def _sum_up(name: str, figures: Sequence[Figure]) -> Recovered:
    truths = {one.truth for one in figures}
    if len(truths) != 1:
        raise ValueError(f"{name} has {len(truths)} truths")
    truth = truths.pop()
    told = [one for one in figures if one.value is not None]
    intervals = [one.interval for one in told if one.interval is not None]
    held = sum(truth in one for one in intervals)
    middle, around = _middle(told)
    return Recovered(
        name=name,
        truth=truth,
        seeds=len(figures),
        told=len(told),
        middle=middle,
        middle_interval=around,
        held=held,
        with_interval=len(intervals),
        coverage_interval=wilson(held, len(intervals)) if intervals else None,
        width=sum(i.width for i in intervals) / len(intervals) if intervals else None,
    )


def _middle(told: Sequence[Figure]) -> tuple[float | None, Interval | None]:
    if not told:
        return None, None
    factor = told[0].factor
    values = [one.value for one in told if one.value is not None]
    mean = mean_of([math.log(value) for value in values] if factor else values)
    assert mean is not None
    around = mean.interval
    if not factor:
        return mean.value, around
    if around is not None:
        around = Interval(low=math.exp(around.low), high=math.exp(around.high))
    return math.exp(mean.value), around
