"""Fluid added against hours run."""

from __future__ import annotations


def litres_per_100_h(added_l: float, hours_run: float) -> float | None:
    """Return litres added for 100 hours of the meter.

    Args:
        added_l: all that was added between two readings of the meter.
        hours_run: what the meter moved on between them.

    Returns:
        None when the meter did not move on: there is no rate then.

    Source:
        A ratio; per 100 h is common practice, no source.
    """
    if added_l < 0:
        raise ValueError("what was added is zero or more")
    return added_l / hours_run * 100 if hours_run > 0 else None
