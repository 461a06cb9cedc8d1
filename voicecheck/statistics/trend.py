"""A straight line through readings over time, with its uncertainty."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import linregress, t

LEAST_POINTS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A fitted line y = intercept + slope * x."""

    count: int
    slope: float
    intercept: float
    slope_error: float
    """Standard error of the slope."""
    intercept_error: float
    slope_low: float
    """Bounds of the confidence interval of the slope."""
    slope_high: float
    residual_sd: float
    """Standard deviation of the points about the line."""
    mean_x: float
    spread_x: float
    """Sum of squared deviations of x from its mean."""
    factor: float
    """Quantile of t that makes a standard error an interval."""

    @property
    def direction(self) -> str:
        """Return rising or falling when the interval says so, else unclear."""
        if self.slope_low > 0:
            return "rising"
        return "falling" if self.slope_high < 0 else "unclear"

    def at(self, x: float) -> tuple[float, float, float]:
        """Return the line at x, and the bounds of the interval of its mean."""
        y = self.intercept + self.slope * x
        share = 1 / self.count + (x - self.mean_x) ** 2 / self.spread_x
        half = self.factor * self.residual_sd * math.sqrt(share)
        return y, y - half, y + half


def fit_trend(
    x: Sequence[float], y: Sequence[float], *, confidence: float = 0.95
) -> Trend | None:
    """Fit a line by ordinary least squares.

    Args:
        x: times, in any unit, shape (n,).
        y: readings, shape (n,).
        confidence: of all intervals, 0 … 1.

    Returns:
        None for fewer than three points, or when all x are the same: then
        there is no trend to speak of. The intervals take the scatter as
        independent and even; a reading that drifts slowly is less certain.

    Source:
        Ordinary least squares with intervals from Student's t, n - 2 degrees
        of freedom; Draper & Smith, Applied Regression Analysis, chapter 1.
    """
    if len(x) != len(y):
        raise ValueError("x and y are of different length")
    if len(x) < LEAST_POINTS or np.ptp(x) == 0:
        return None
    fitted = linregress(x, y)
    freedom = len(x) - 2
    factor = float(t.ppf((1 + confidence) / 2, freedom))
    left = np.asarray(y) - (fitted.intercept + fitted.slope * np.asarray(x))
    half = factor * fitted.stderr
    return Trend(
        count=len(x),
        slope=float(fitted.slope),
        intercept=float(fitted.intercept),
        slope_error=float(fitted.stderr),
        intercept_error=float(fitted.intercept_stderr),
        slope_low=float(fitted.slope - half),
        slope_high=float(fitted.slope + half),
        residual_sd=math.sqrt(float(np.sum(left**2)) / freedom),
        mean_x=float(np.mean(x)),
        spread_x=float(np.sum((np.asarray(x) - np.mean(x)) ** 2)),
        factor=factor,
    )
