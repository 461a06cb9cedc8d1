"""Time to repair with open ones counted right."""

from __future__ import annotations

import math
import warnings

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.statistics.survival import Span, kaplan_meier, median_time

REMISSION = [
    *((6, True), (6, True), (6, True), (7, True), (10, True), (13, True)),
    *((16, True), (22, True), (23, True), (6, False), (9, False), (10, False)),
    *((11, False), (17, False), (19, False), (20, False), (25, False)),
    *((32, False), (32, False), (34, False), (35, False)),
]
"""Weeks of remission of the 21 treated patients of Freireich et al. 1963 (Blood
21:699-716), as analysed by Gehan 1965 and in Kleinbaum & Klein, Survival Analysis:
A Self-Learning Text, chapter 2; from memory, and fitting its printed results."""

PRINTED = [
    (6, 21, 0.8571, 0.0764),
    (7, 17, 0.8067, 0.0869),
    (10, 15, 0.7529, 0.0963),
    (13, 12, 0.6902, 0.1068),
    (16, 11, 0.6275, 0.1141),
    (22, 7, 0.5378, 0.1282),
    (23, 6, 0.4482, 0.1346),
]
"""Time, at risk, share and Greenwood's error, from the same textbook example."""


def spans(data: list[tuple[int, bool]]) -> list[Span]:
    """Return spans of pairs."""
    return [Span(duration=time, happened=happened) for time, happened in data]


def test_the_textbook_example_of_remission_times() -> None:
    """Every printed share and standard error to four places; median 23 weeks."""
    steps = kaplan_meier(spans(REMISSION))

    printed = [
        (s.time, s.at_risk, round(s.survival, 4), round(s.standard_error, 4))
        for s in steps
    ]
    assert printed == PRINTED
    assert median_time(steps).value == 23


PAIRS = st.lists(st.tuples(st.integers(0, 40), st.booleans()), min_size=1, max_size=60)


@settings(max_examples=40, deadline=None)
@given(PAIRS)
def test_the_curve_is_that_of_lifelines(data: list[tuple[int, bool]]) -> None:
    """Share, interval and median agree with an independent library."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of the library, on its own imports
        from lifelines import KaplanMeierFitter

        fitter = KaplanMeierFitter().fit([t for t, _ in data], [h for _, h in data])
    steps = kaplan_meier(spans(data))

    bounds = fitter.confidence_interval_
    for step in steps:
        theirs = float(fitter.survival_function_at_times(step.time).iloc[0])
        assert step.survival == pytest.approx(theirs, abs=1e-9)
        if 0 < step.survival < 1:
            low, high = bounds.loc[step.time]
            assert step.low == pytest.approx(low, abs=1e-6)
            assert step.high == pytest.approx(high, abs=1e-6)
    median = median_time(steps).value
    # the library's own rounding may leave a curve that touches one half above it
    half = [step.time for step in steps if step.survival == pytest.approx(0.5)]
    theirs = half[0] if half else fitter.median_survival_time_
    assert (math.inf if median is None else median) == theirs


@given(PAIRS)
def test_the_curve_falls_within_its_bounds(data: list[tuple[int, bool]]) -> None:
    """From 1 downward, never below 0, always inside its interval."""
    steps = kaplan_meier(spans(data))

    shares = [1.0, *(step.survival for step in steps)]
    assert shares == sorted(shares, reverse=True)
    assert all(0 <= s.low <= s.survival + 1e-12 for s in steps)
    assert all(s.survival <= s.high + 1e-12 <= 1 + 1e-12 for s in steps)


def test_open_ones_lengthen_the_median() -> None:
    """Leaving open defects out would make repairs look quick."""
    done = spans([(2, True), (4, True), (6, True)])
    still_open = spans([(50, False), (60, False), (70, False), (80, False)])

    assert median_time(kaplan_meier(done)).value == 4
    assert median_time(kaplan_meier(done + still_open)).value is None


def test_nothing_gives_nothing() -> None:
    """No defect, no curve, no median."""
    assert kaplan_meier([]) == ()
    assert median_time(()).value is None


@pytest.mark.parametrize("duration", [-1.0, math.nan, math.inf])
def test_an_impossible_duration_is_refused(duration: float) -> None:
    """A negative time is a mistake in the data."""
    with pytest.raises(ValueError, match="zero or more"):
        kaplan_meier([Span(duration=duration, happened=True)])
