"""A mean and how sure it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev

from scipy.stats import t

from voicecheck.statistics.interval import Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Mean:
    """The mean of some values."""

    value: float
    count: int
    interval: Interval | None
    """None for a single value: nothing tells how much it scatters."""


def mean_of(values: Sequence[float], confidence: float = 0.95) -> Mean | None:
    """Return the mean with its interval; None of nothing.

    Source:
        Student 1908, Biometrika 6:1-25. Values that scatter lopsidedly want some
        dozens of them.
    """
    if not values:
        return None
    middle, count = fmean(values), len(values)
    interval = None
    if count > 1:
        half = float(t.ppf((1 + confidence) / 2, count - 1)) * stdev(values)
        half /= count**0.5
        interval = Interval(low=middle - half, high=middle + half)
    return Mean(value=middle, count=count, interval=interval)
