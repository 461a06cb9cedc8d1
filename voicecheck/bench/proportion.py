"""A share of trials and how sure it is."""

from __future__ import annotations

import math

__all__ = ["wilson_interval"]

_Z = 1.959964
"""Two-sided 95 % of the normal distribution."""


def wilson_interval(count: int, trials: int) -> tuple[float, float]:
    """Return the 95 % score interval of a proportion, 0 … 1.

    Args:
        count: trials that had the property, 0 … trials.
        trials: at least 0; none gives the interval from 0 to 1.

    Raises:
        ValueError: count lies outside 0 … trials.

    Source:
        Wilson 1927, JASA 22; without continuity correction.
    """
    if not 0 <= count <= trials:
        raise ValueError(f"{count} of {trials} is no share")
    if trials == 0:
        return 0.0, 1.0
    share, square = count / trials, _Z**2
    centre = (share + square / (2 * trials)) / (1 + square / trials)
    half = math.sqrt(share * (1 - share) / trials + square / (4 * trials**2))
    half *= _Z / (1 + square / trials)
    # rounding must not leave the ends: none of n begins at exactly 0
    low = 0.0 if count == 0 else max(0.0, centre - half)
    high = 1.0 if count == trials else min(1.0, centre + half)
    return low, high
