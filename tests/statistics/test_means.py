"""Means with Student's interval."""

from __future__ import annotations

import pytest
from statsmodels.stats.weightstats import DescrStatsW

from voicecheck.statistics.means import mean_of

SLEEP = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
"""Hours of sleep gained by ten patients: Student 1908, Biometrika 6:20, the first
drug; his mean is .75 (from memory)."""


@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
def test_the_sleep_of_student(confidence: float) -> None:
    """His mean, and the interval of an independent library."""
    found = mean_of(SLEEP, confidence)
    assert found is not None
    assert found.interval is not None

    low, high = DescrStatsW(SLEEP).tconfint_mean(alpha=1 - confidence)
    assert found.value == pytest.approx(0.75)
    assert (found.interval.low, found.interval.high) == pytest.approx((low, high))


def test_one_value_has_no_interval() -> None:
    """And none has no mean."""
    one = mean_of([2.0])

    assert one is not None
    assert (one.value, one.interval) == (2.0, None)
    assert mean_of([]) is None
