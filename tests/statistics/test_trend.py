"""The fitted line and its intervals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from voicecheck.statistics.trend import fit_trend

NORRIS = """
0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3
998.5 996.3 449.1 448.6 778.9 777.0 559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5
668.8 666.9 339.3 338.0 448.9 447.5 10.8 11.6 557.7 556.0 228.3 228.1 998.0 995.8
888.8 887.6 119.6 120.2 0.3 0.3 0.6 0.3 557.6 556.8 339.3 339.1 888.0 887.2
998.5 999.0 778.9 779.0 10.2 11.1 117.6 118.3 228.9 229.2 668.4 669.1 449.2 448.9
0.2 0.5
"""
"""Pairs y, x of NIST StRD "Norris" (linear regression, calibration of ozone
monitors), itl.nist.gov/div898/strd; from memory, and fitting its certified values."""


def test_the_certified_values_of_nist() -> None:
    """Intercept, slope, their errors and the residual SD of NIST StRD Norris."""
    data = np.array(NORRIS.split(), dtype=float).reshape(-1, 2)

    trend = fit_trend(list(data[:, 1]), list(data[:, 0]))

    assert trend is not None and trend.count == 36
    assert trend.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert trend.slope == pytest.approx(1.00211681802045, rel=1e-11)
    assert trend.intercept_error == pytest.approx(0.232818234301152, rel=1e-8)
    assert trend.slope_error == pytest.approx(0.429796848199937e-3, rel=1e-8)
    assert trend.residual_sd == pytest.approx(0.884796396144373, rel=1e-8)


def test_the_interval_of_a_small_sample_by_hand() -> None:
    """Five points: t for 3 degrees of freedom is 3.182 (tables of Student's t)."""
    trend = fit_trend([1, 2, 3, 4, 5], [1.0, 2.1, 2.9, 4.2, 4.8])

    assert trend is not None
    assert trend.slope == pytest.approx(0.97)
    assert trend.factor == pytest.approx(3.182, abs=5e-4)
    half = 3.182 * trend.slope_error
    assert trend.slope_low == pytest.approx(0.97 - half, abs=1e-3)
    assert trend.slope_high == pytest.approx(0.97 + half, abs=1e-3)
    assert trend.direction == "rising"


def test_the_band_is_that_of_curve_fit() -> None:
    """The variance of the mean at a point equals the one from the covariance."""
    x, y = [0.0, 1, 2, 5, 9], [450.0, 447, 449, 440, 431]
    trend = fit_trend(x, y)
    assert trend is not None

    (a, b), covariance = optimize.curve_fit(lambda x, a, b: a + b * x, x, y)
    at = np.array([1.0, 7.0])
    middle, low, high = trend.at(7.0)

    assert middle == pytest.approx(a + b * 7, rel=1e-6)
    half = trend.factor * float(np.sqrt(at @ covariance @ at))
    assert (high - low) / 2 == pytest.approx(half, rel=1e-4)


def test_what_is_no_trend_gives_none() -> None:
    """Two points, or one day only, show no trend."""
    assert fit_trend([1, 2], [1, 2]) is None
    assert fit_trend([3, 3, 3], [1, 2, 3]) is None


def test_scatter_is_called_unclear() -> None:
    """A slope whose interval holds zero is not called rising or falling."""
    trend = fit_trend([1, 2, 3, 4], [5.0, 7.0, 4.0, 6.0])

    assert trend is not None and trend.direction == "unclear"


@given(
    st.lists(st.floats(-1e3, 1e3), min_size=3, max_size=20, unique=True),
    st.floats(-5, 5),
    st.floats(-100, 100),
)
def test_the_slope_lies_within_its_interval(
    x: list[float], slope: float, start: float
) -> None:
    """For any points, and the band is narrowest at their middle."""
    if np.ptp(x) < 1e-3:
        return
    y = [start + slope * v + (i % 3) for i, v in enumerate(x)]
    trend = fit_trend(x, y)

    assert trend is not None
    assert trend.slope_low <= trend.slope <= trend.slope_high
    _, low, high = trend.at(trend.mean_x)
    _, far_low, far_high = trend.at(max(x))
    assert high - low <= far_high - far_low + 1e-9
