"""Difficulty, discrimination and alpha, worked by hand and against libraries."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import pointbiserialr

from voicecheck.statistics.items import LEAST_PERSONS, item_figures
from voicecheck.statistics.proportions import wilson

GUTTMAN = [[1] * right + [0] * (4 - right) for right in (0, 1, 1, 2, 2, 2, 3, 3, 4, 4)]
"""Ten persons, four items from easy to hard."""


def test_difficulty_is_the_share_right() -> None:
    """With Wilson's interval."""
    figures = item_figures(GUTTMAN)

    assert [one.difficulty for one in figures.items] == [0.9, 0.7, 0.4, 0.2]
    assert figures.items[0].difficulty_interval == wilson(9, 10)


def test_alpha_by_hand() -> None:
    """KR-20, k/(k-1) · (1 - Σpq / s²): Σpq = .09 + .21 + .24 + .16 = .70, the scores
    have s² = 1.56 (n in the denominator, as in pq), so 4/3 · (1 - .70/1.56) = .7350.
    Kuder & Richardson 1937, formula 20."""
    assert np.var(np.sum(GUTTMAN, axis=1)) == pytest.approx(1.56)

    assert item_figures(GUTTMAN).alpha == pytest.approx(0.7350, abs=5e-5)


CELLS = st.lists(
    st.lists(st.sampled_from([0, 1]), min_size=4, max_size=4),
    min_size=LEAST_PERSONS,
    max_size=30,
)


@settings(deadline=None, max_examples=40)
@given(CELLS)
def test_discrimination_is_the_point_biserial_correlation(
    results: list[list[int]],
) -> None:
    """Of an item with the rest, as scipy has it; None where one does not spread."""
    for at, one in enumerate(item_figures(results).items):
        own = [row[at] for row in results]
        rest = [sum(row) - row[at] for row in results]
        if len(set(own)) == 1 or len(set(rest)) == 1:
            assert one.discrimination is None
            continue
        theirs = pointbiserialr(own, rest).statistic
        assert one.discrimination == pytest.approx(theirs, abs=1e-9)
        assert one.discrimination_interval is not None
        assert theirs in one.discrimination_interval


def test_who_did_not_meet_an_item_does_not_count_there() -> None:
    """Half the course met another scenario."""
    results = [[*row, None] for row in GUTTMAN] + [[None, 1, 0, None, 1]] * 2
    figures = item_figures(results)

    assert [one.persons for one in figures.items] == [10, 12, 12, 10, 2]
    assert figures.items[4].difficulty == 1.0
    assert figures.items[4].discrimination is None
    assert (figures.complete_persons, figures.alpha) == (0, None)


def test_nine_persons_are_too_few() -> None:
    """Difficulty has its interval; correlations are not given, and how many persons
    they want is said."""
    figures = item_figures(GUTTMAN[:9])

    assert all(one.difficulty is not None for one in figures.items)
    assert all(one.discrimination is None for one in figures.items)
    assert (figures.alpha, figures.persons_needed) == (None, 10)


@pytest.mark.parametrize("results", [[], [[]], [[None, None]] * 12])
def test_nothing_gives_nothing(results: list[list[int | None]]) -> None:
    """No persons, no items, nobody who met one."""
    figures = item_figures(results)

    assert figures.alpha is None
    assert all(one.difficulty is None for one in figures.items)


@pytest.mark.parametrize("results", [[[1, 0], [1]], [[2]]])
def test_what_is_no_result_is_refused(results: list[list[int | None]]) -> None:
    """0, 1 or not met, in rows of one length."""
    with pytest.raises(ValueError, match="entry"):
        item_figures(results)
