"""Sensitivity and criterion, against published figures and by full enumeration."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, norm

from voicecheck.statistics.detection import Detection, detection

COUNTS = st.integers(1, 200).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


def told(hits: int, signals: int, false_alarms: int, noises: int) -> Detection:
    """Return figures that are there."""
    found = detection(hits, signals, false_alarms, noises)
    assert found is not None
    return found


def test_the_example_with_correction() -> None:
    """82 of 100 hits, 46 of 100 false alarms: d' and c as statpsych prints them for
    the log-linear correction, after Wickens 2002, Elementary Signal Detection
    Theory; the threshold there is z(1 - F)."""
    found = told(82, 100, 46, 100)

    assert found.hit_rate == pytest.approx(0.816832, abs=5e-7)
    assert found.false_alarm_rate == pytest.approx(0.460396, abs=5e-7)
    assert found.d_prime == pytest.approx(1.002793, abs=5e-7)
    assert found.criterion == pytest.approx(-0.401960, abs=5e-7)
    threshold = found.d_prime / 2 + found.criterion
    assert threshold == pytest.approx(0.099436, abs=5e-7)


def test_all_found_and_no_false_alarm_is_still_finite() -> None:
    """10 of 10 and 0 of 30: Hautus 1995 with the rates 10.5/11 and 0.5/31."""
    found = told(10, 10, 0, 30)

    assert found.hit_rate == pytest.approx(0.954545, abs=5e-7)
    assert found.false_alarm_rate == pytest.approx(0.016129, abs=5e-7)
    assert found.d_prime == pytest.approx(3.8318, abs=5e-5)
    assert found.criterion == pytest.approx(0.2253, abs=5e-5)


@pytest.mark.parametrize(
    ("hit_rate", "false_alarm_rate", "d_prime", "criterion", "beta"),
    [
        pytest.param(0.80, 0.40, 1.0950, -0.2941, 0.7246, id="20 and 10 of 25"),
        pytest.param(0.84, 0.16, 1.9889, 0.0, 1.0, id="even, good"),
        pytest.param(0.69, 0.31, 0.9917, 0.0, 1.0, id="even, fair"),
    ],
)
def test_with_many_trials_the_correction_fades(
    hit_rate: float,
    false_alarm_rate: float,
    d_prime: float,
    criterion: float,
    beta: float,
) -> None:
    """The uncorrected textbook figures (Macmillan & Creelman, Detection Theory,
    chapter 1, from memory) are the limit for the same rates."""
    trials = 1_000_000
    found = told(
        round(hit_rate * trials), trials, round(false_alarm_rate * trials), trials
    )

    assert found.d_prime == pytest.approx(d_prime, abs=1e-4)
    assert found.criterion == pytest.approx(criterion, abs=1e-4)
    assert np.exp(found.log_beta) == pytest.approx(beta, abs=1e-4)


@settings(deadline=None, max_examples=50)
@given(COUNTS, COUNTS)
def test_the_figures_are_those_of_scipy(
    signals: tuple[int, int], noises: tuple[int, int]
) -> None:
    """d' = z(H) - z(F), c = -(z(H) + z(F)) / 2 at the corrected rates."""
    found = told(*signals, *noises)
    z_hit = norm.ppf((signals[0] + 0.5) / (signals[1] + 1))
    z_false = norm.ppf((noises[0] + 0.5) / (noises[1] + 1))

    assert found.d_prime == pytest.approx(z_hit - z_false, abs=1e-9)
    assert found.criterion == pytest.approx(-(z_hit + z_false) / 2, abs=1e-9)
    assert found.d_prime in found.d_prime_interval
    assert found.criterion in found.criterion_interval


@settings(deadline=None, max_examples=50)
@given(COUNTS, COUNTS)
def test_calling_the_other_way_round_turns_the_criterion(
    signals: tuple[int, int], noises: tuple[int, int]
) -> None:
    """Who says "good" where another says "defect" has the opposite figures."""
    there = told(*signals, *noises)
    back = told(signals[1] - signals[0], signals[1], noises[1] - noises[0], noises[1])

    assert back.d_prime == pytest.approx(-there.d_prime, abs=1e-9)
    assert back.criterion == pytest.approx(-there.criterion, abs=1e-9)


def test_missing_makes_the_criterion_positive() -> None:
    """The dangerous side, saying "good" too readily, is above zero."""
    assert told(2, 10, 0, 80).criterion > 0
    assert told(10, 10, 40, 80).criterion < 0


CASES = [
    (signals, noises, d_prime, criterion)
    for signals, noises in ((5, 40), (10, 80), (20, 70), (60, 60))
    for d_prime in (0.0, 1.0, 2.0, 3.0)
    for criterion in (0.0, 0.5, 1.0)
]


@pytest.mark.parametrize(("signals", "noises", "d_prime", "criterion"), CASES)
def test_the_interval_covers_what_it_promises(
    signals: int, noises: int, d_prime: float, criterion: float
) -> None:
    """Every outcome is enumerated, so this is the exact coverage of the 95 %
    intervals: no chance is in it. At least 93 %, whatever the truth."""
    normal = NormalDist()
    of_hits = binom.pmf(
        range(signals + 1), signals, normal.cdf(d_prime / 2 - criterion)
    )
    of_false = binom.pmf(
        range(noises + 1), noises, normal.cdf(-d_prime / 2 - criterion)
    )
    covered = np.zeros(2)
    for hits, chance in enumerate(of_hits):
        for false_alarms, other in enumerate(of_false):
            if chance * other < 1e-7:
                continue
            found = told(hits, signals, false_alarms, noises)
            covered += (
                chance
                * other
                * np.array(
                    [
                        d_prime in found.d_prime_interval,
                        criterion in found.criterion_interval,
                    ]
                )
            )

    assert covered.min() >= 0.93


@pytest.mark.parametrize("counts", [(0, 0, 1, 30), (3, 5, 0, 0), (0, 0, 0, 0)])
def test_without_signals_or_without_noises_nothing_is_told(
    counts: tuple[int, int, int, int],
) -> None:
    """A walk without planted faults has no d'."""
    assert detection(*counts) is None


@pytest.mark.parametrize("counts", [(6, 5, 0, 9), (0, 5, 10, 9), (-1, 5, 0, 9)])
def test_impossible_counts_are_refused(counts: tuple[int, int, int, int]) -> None:
    """More found than planted is a mistake of the caller."""
    with pytest.raises(ValueError, match="part of"):
        detection(*counts)
