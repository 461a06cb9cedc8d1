"""The two ends between which a figure lies."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A confidence interval; both ends belong to it."""

    low: float
    high: float

    def __contains__(self, value: float) -> bool:
        """Tell whether a value lies between the ends, or on one."""
        return self.low <= value <= self.high

    @property
    def width(self) -> float:
        """Return how far the ends lie apart."""
        return self.high - self.low
