"""Kappa against its papers, scikit-learn and statsmodels; what it must not hide."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa

from voicecheck.statistics.agreement import (
    AgreementWord,
    Weights,
    agreement_table,
    agreement_word,
    weighted_kappa,
)

COHEN = [[88, 14, 18], [10, 40, 10], [2, 6, 12]]
"""200 cases of Cohen 1960, Educ. Psychol. Meas. 20:37-46 (cells from memory)."""
COHEN_WEIGHTS = [[0, 1, 3], [1, 0, 6], [3, 6, 0]]
"""Cohen 1968, Psychol. Bull. 70:213-220 (from memory)."""
DIAGNOSES = [[75, 1, 4], [5, 4, 1], [0, 0, 10]]
"""100 cases of Fleiss, Levin & Paik, Statistical Methods for Rates and Proportions
(cells from memory)."""

SQUARES = st.integers(2, 4).flatmap(
    lambda size: st.lists(
        st.lists(st.integers(0, 12), min_size=size, max_size=size),
        min_size=size,
        max_size=size,
    )
)


@pytest.mark.parametrize(
    ("table", "weights", "kappa"),
    [
        pytest.param(COHEN, Weights.NONE, 0.4915, id="Cohen 1960, printed .492"),
        pytest.param(COHEN, COHEN_WEIGHTS, 0.3478, id="Cohen 1968, printed .348"),
        pytest.param(DIAGNOSES, Weights.NONE, 0.6765, id="Fleiss"),
        pytest.param(DIAGNOSES, Weights.LINEAR, 0.7222, id="Fleiss, linear"),
        pytest.param(DIAGNOSES, Weights.QUADRATIC, 0.7553, id="Fleiss, quadratic"),
        pytest.param([[20, 5], [10, 15]], Weights.NONE, 0.4, id="two by two"),
    ],
)
def test_published_kappas(
    table: list[list[int]], weights: Weights | list[list[float]], kappa: float
) -> None:
    """The figures that the sources give, to four places."""
    assert weighted_kappa(table, weights).value == pytest.approx(kappa, abs=5e-5)


@settings(deadline=None, max_examples=40)
@given(SQUARES, st.sampled_from(Weights))
def test_kappa_is_that_of_scikit_learn(
    table: list[list[int]], weights: Weights
) -> None:
    """From the single ratings, by an independent library."""
    size = len(table)
    pairs = [
        (i, j) for i in range(size) for j in range(size) for _ in range(table[i][j])
    ]
    first, second = [a for a, _ in pairs], [b for _, b in pairs]
    assume(len(set(first) | set(second)) > 1)
    ours = weighted_kappa(agreement_table(pairs, size), weights).value
    theirs = cohen_kappa_score(
        first,
        second,
        labels=range(size),
        weights=None if weights is Weights.NONE else weights.value,
    )

    assert ours == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("weights", Weights)
@pytest.mark.parametrize("table", [COHEN, DIAGNOSES], ids=["Cohen", "Fleiss"])
def test_the_standard_error_is_that_of_statsmodels(
    table: list[list[int]], weights: Weights
) -> None:
    """Fleiss, Cohen & Everitt 1969, by an independent library."""
    names = {Weights.NONE: None, Weights.LINEAR: "linear", Weights.QUADRATIC: "fc"}
    theirs = cohens_kappa(np.array(table), wt=names[weights])
    ours = weighted_kappa(table, weights)

    assert ours.value == pytest.approx(theirs.kappa, abs=1e-9)
    assert ours.standard_error == pytest.approx(theirs.std_kappa, abs=1e-9)


def test_with_many_cases_the_interval_is_the_usual_one() -> None:
    """The two cases that are added fade: κ ± 1.96 standard errors."""
    found = weighted_kappa(np.array(DIAGNOSES) * 1000, Weights.LINEAR)
    assert found.interval is not None
    assert found.value is not None
    assert found.standard_error is not None

    half = 1.959964 * found.standard_error
    assert found.interval.low == pytest.approx(found.value - half, abs=1e-4)
    assert found.interval.high == pytest.approx(found.value + half, abs=1e-4)


SPREAD = np.array([0.4, 0.35, 0.25])
"""Severities of an imagined course: minor, major, critical."""


def trainee(error: float, too_mild: float) -> np.ndarray:
    """Return shares of (assessor, trainee) who errs, and calls one step too mild."""
    shares = np.zeros((3, 3))
    for at in range(3):
        shares[at] += SPREAD[at] * error / 3
        shares[at, at] += SPREAD[at] * (1 - error - too_mild)
        shares[at, max(0, at - 1)] += SPREAD[at] * too_mild
    return shares


@pytest.mark.parametrize("cases", [10, 30])
@pytest.mark.parametrize(("error", "too_mild"), [(0.05, 0.0), (0.1, 0.2), (0.3, 0.3)])
def test_the_interval_covers_the_truth(
    cases: int, error: float, too_mild: float
) -> None:
    """Of 400 tables with fixed seeds at least 89 % hold the true kappa: if the
    interval covered 93 % in truth, fewer would come with a chance of 0.1 %."""
    shares = trainee(error, too_mild)
    truth = weighted_kappa(shares * 1e9, Weights.LINEAR).value
    assert truth is not None
    rng = np.random.default_rng(5)
    drawn = rng.multinomial(cases, shares.ravel(), size=400).reshape(-1, 3, 3)
    found = [weighted_kappa(one, Weights.LINEAR).interval for one in drawn]

    told = [one for one in found if one is not None]
    assert sum(truth in one for one in told) / len(told) >= 0.89


@pytest.mark.parametrize(
    "table", [[[9, 0], [0, 0]], [[0, 0], [0, 0]]], ids=["one category", "nothing"]
)
def test_no_spread_is_neither_one_nor_zero(table: list[list[int]]) -> None:
    """Where both use one category only, or nothing was rated, there is no kappa."""
    found = weighted_kappa(table)

    assert (found.value, found.interval, found.word) == (None, None, None)


def test_all_alike_in_few_cases_is_no_proof() -> None:
    """Kappa is 1, but the interval reaches far down."""
    found = weighted_kappa([[3, 0], [0, 2]])
    assert found.interval is not None

    assert (found.value, found.interval.high) == (1.0, 1.0)
    assert found.interval.low < 0.6


def test_the_margins_show_the_paradox() -> None:
    """The same 90 % alike with even and with uneven margins: very different kappas
    (Feinstein & Cicchetti 1990, J. Clin. Epidemiol. 43:543-549), so both stand
    beside kappa."""
    even = weighted_kappa([[47, 5], [5, 43]])
    uneven = weighted_kappa([[85, 5], [5, 5]])
    assert even.value is not None
    assert uneven.value is not None

    assert even.observed == uneven.observed == pytest.approx(0.90)
    assert even.value - uneven.value > 0.3
    assert (even.rows, uneven.rows) == ((52, 48), (90, 10))


@settings(deadline=None, max_examples=40)
@given(SQUARES, st.sampled_from(Weights))
def test_the_value_lies_in_its_interval(
    table: list[list[int]], weights: Weights
) -> None:
    """And both within -1 … 1."""
    found = weighted_kappa(table, weights)
    assume(found.value is not None and found.interval is not None)
    assert found.value is not None
    assert found.interval is not None

    assert -1 <= found.interval.low <= found.value <= found.interval.high <= 1


@pytest.mark.parametrize(
    ("kappa", "word"),
    [
        (-0.1, AgreementWord.POOR),
        (0.0, AgreementWord.POOR),
        (0.2, AgreementWord.SLIGHT),
        (0.4, AgreementWord.FAIR),
        (0.6, AgreementWord.MODERATE),
        (0.8, AgreementWord.SUBSTANTIAL),
        (0.81, AgreementWord.ALMOST_PERFECT),
    ],
)
def test_the_words_of_landis_and_koch(kappa: float, word: AgreementWord) -> None:
    """Biometrics 33:159-174, 1977; from memory."""
    assert agreement_word(kappa) is word


@pytest.mark.parametrize(
    "table", [[[1, 2]], [[1, 2], [3, -1]]], ids=["not square", "negative"]
)
def test_what_is_no_table_is_refused(table: list[list[int]]) -> None:
    """Counts in a square."""
    with pytest.raises(ValueError, match="square"):
        weighted_kappa(table)


def test_weights_must_fit() -> None:
    """Agreement weighs nothing."""
    with pytest.raises(ValueError, match="diagonal"):
        weighted_kappa([[1, 2], [3, 4]], [[1, 0], [0, 1]])
