"""Shares with intervals, and how many faults would be needed, against papers."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from voicecheck.statistics.proportions import (
    Shown,
    exact,
    faults_needed,
    judge_misses,
    lower_bound,
    upper_bound,
    wilson,
)

NEWCOMBE = [
    (81, 263, (0.2553, 0.3662), (0.2527, 0.3676)),
    (15, 148, (0.0624, 0.1605), (0.0578, 0.1617)),
    (0, 20, (0.0000, 0.1611), (0.0000, 0.1684)),
    (1, 29, (0.0061, 0.1718), (0.0009, 0.1776)),
]
"""The four cases of Newcombe 1998, Stat. Med. 17:857-872: methods 3 and 5."""

WORKED = [
    (23, 60, (0.2709, 0.5098)),
    (48, 50, (0.8654, 0.9890)),
    (50, 50, (0.9287, 1.0000)),
]
"""Worked out by the formula of Wilson 1927, JASA 22."""

COUNTS = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@pytest.mark.parametrize(("count", "n", "score", "clopper"), NEWCOMBE)
def test_published_intervals(
    count: int, n: int, score: tuple[float, float], clopper: tuple[float, float]
) -> None:
    """Newcombe's four cases to four places, by score and exactly."""
    ours, strict = wilson(count, n), exact(count, n)

    assert (ours.low, ours.high) == pytest.approx(score, abs=5e-5)
    assert (strict.low, strict.high) == pytest.approx(clopper, abs=5e-5)


@pytest.mark.parametrize(("count", "n", "score"), WORKED)
def test_worked_intervals(count: int, n: int, score: tuple[float, float]) -> None:
    """To four places, near the ends too."""
    found = wilson(count, n)

    assert (found.low, found.high) == pytest.approx(score, abs=5e-5)


@settings(deadline=None, max_examples=60)
@given(COUNTS, st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_intervals_are_those_of_statsmodels(
    counts: tuple[int, int], confidence: float
) -> None:
    """Wilson and Clopper-Pearson agree with an independent library."""
    for ours, method in ((wilson, "wilson"), (exact, "beta")):
        found = ours(*counts, confidence)
        low, high = proportion_confint(*counts, alpha=1 - confidence, method=method)
        assert found.low == pytest.approx(low, abs=1e-9)
        assert found.high == pytest.approx(high, abs=1e-9)


def test_the_ends_are_exact() -> None:
    """None of n begins at 0, all of n ends at 1, none of none says nothing."""
    assert wilson(0, 30).low == 0.0
    assert wilson(30, 30).high == 1.0
    assert (wilson(0, 0).low, wilson(0, 0).high) == (0.0, 1.0)
    assert (exact(0, 0).low, exact(0, 0).high) == (0.0, 1.0)


@pytest.mark.parametrize(
    ("n", "bound"),
    [
        *((10, 0.2589), (20, 0.1391), (29, 0.0981), (30, 0.0950), (59, 0.0495)),
        *((100, 0.0295), (299, 0.0100), (300, 0.0099)),
    ],
)
def test_no_failure_seen(n: int, bound: float) -> None:
    """1 - 0.05^(1/n), worked out; within the rule of three of Hanley & Lippman-Hand
    1983, JAMA 249:1743-1745."""
    assert upper_bound(0, n) == pytest.approx(bound, abs=5e-5)
    assert upper_bound(0, n) <= 3 / n


@pytest.mark.parametrize(
    ("share", "certainty", "misses", "needed"),
    [
        (0.05, 0.95, 0, 59),
        (0.10, 0.95, 0, 29),
        (0.01, 0.95, 0, 299),
        (0.05, 0.90, 0, 45),
        (0.10, 0.90, 0, 22),
        (0.05, 0.95, 1, 93),
        (0.05, 0.95, 2, 124),
        (0.05, 0.95, 3, 153),
        (0.05, 0.95, 4, 181),
    ],
)
def test_how_many_faults_are_needed(
    share: float, certainty: float, misses: int, needed: int
) -> None:
    """59, 93, 124, 153 and 181 are the sample sizes of Wilks 1941 for a one-sided
    95 %/95 % tolerance limit (from memory); the others are worked out."""
    assert faults_needed(share, certainty, misses) == needed


@settings(deadline=None, max_examples=40)
@given(
    st.sampled_from([0.02, 0.05, 0.1, 0.3]),
    st.sampled_from([0.8, 0.9, 0.95]),
    st.integers(0, 6),
)
def test_one_fault_fewer_would_not_do(
    share: float, certainty: float, misses: int
) -> None:
    """The number needed is the least one that shows the share."""
    needed = faults_needed(share, certainty, misses)

    assert upper_bound(misses, needed, certainty) <= share + 1e-9
    assert upper_bound(misses, needed - 1, certainty) > share


@pytest.mark.parametrize(
    ("missed", "planted", "shown", "needed"),
    [
        (0, 10, Shown.TOO_FEW, 59),
        (0, 58, Shown.TOO_FEW, 59),
        (0, 59, Shown.WITHIN, 59),
        (1, 10, Shown.TOO_FEW, 93),
        (3, 10, Shown.BEYOND, 153),
        (10, 10, Shown.BEYOND, 336),
        (0, 0, Shown.TOO_FEW, 59),
    ],
)
def test_ten_faults_tell_little(
    missed: int, planted: int, shown: Shown, needed: int
) -> None:
    """At most 5 % missed, 95 % sure: few faults show failure, never success."""
    verdict = judge_misses(missed, planted, allowed_share=0.05)

    assert (verdict.shown, verdict.needed) == (shown, needed)


@settings(deadline=None, max_examples=40)
@given(COUNTS)
def test_the_bounds_enclose_what_was_seen(counts: tuple[int, int]) -> None:
    """One-sided bounds on both sides of the share."""
    failures, n = counts

    assert lower_bound(failures, n) <= failures / n <= upper_bound(failures, n)


@pytest.mark.parametrize("wrong", [(3, 2), (-1, 2)])
def test_more_than_all_is_refused(wrong: tuple[int, int]) -> None:
    """A share above one is a mistake of the caller."""
    for function in (wilson, exact, upper_bound):
        with pytest.raises(ValueError, match="no share"):
            function(*wrong)


def test_impossible_wishes_are_refused() -> None:
    """No number of faults shows that nothing is ever missed."""
    with pytest.raises(ValueError, match="between 0 and 1"):
        faults_needed(0.0, 0.95)
    with pytest.raises(ValueError, match="more than"):
        faults_needed(1e-9, 0.95)
    with pytest.raises(ValueError, match="confidence"):
        wilson(1, 2, 1.0)
