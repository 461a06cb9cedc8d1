"""Walks that were faster than anyone can have looked."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import median_abs_deviation

from voicecheck.statistics.pace import (
    Hurry,
    WalkPace,
    hurried,
    modified_z_scores,
)


def pace(walk_id: str, walking_s: float, too_fast: int = 0) -> WalkPace:
    """Return a walk of ninety answers."""
    return WalkPace(walk_id=walk_id, answers=90, too_fast=too_fast, walking_s=walking_s)


def test_one_in_ten_too_fast_answers_makes_a_walk_stand_out() -> None:
    """Nine of ninety do, eight do not."""
    found = hurried([pace("a", 1200, 9), pace("b", 1200, 8)])

    assert found == {"a": frozenset({Hurry.ANSWERS})}


def test_a_walk_far_below_the_usual_time_stands_out() -> None:
    """A minute where all others took about twenty."""
    usual = [pace(f"w{n}", 1100 + 30 * n) for n in range(9)]

    assert hurried([*usual, pace("x", 60)]) == {"x": frozenset({Hurry.UNUSUAL})}
    assert hurried(usual) == {}


def test_few_walks_show_no_usual_time() -> None:
    """Three walks are not enough to call one of them unusual."""
    assert hurried([pace("a", 1200), pace("b", 1250), pace("c", 60)]) == {}


def test_a_walk_without_answers_is_not_called_fast() -> None:
    """Stopped at once: nothing was claimed."""
    stopped = WalkPace(walk_id="s", answers=0, too_fast=0, walking_s=1)
    usual = [pace(f"w{n}", 1100 + 30 * n) for n in range(9)]

    assert "s" not in hurried([*usual, stopped])


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=30))
def test_the_scores_are_those_of_scipys_deviation(values: list[float]) -> None:
    """0.6745 (x - median) / MAD, with the MAD of an independent library."""
    spread = float(median_abs_deviation(values))
    scores = modified_z_scores(values)

    middle = sorted(values)[len(values) // 2]
    assert len(scores) == len(values)
    if spread > 1e-6 and len(values) % 2:
        expected = [0.6745 * (v - middle) / spread for v in values]
        assert scores == pytest.approx(expected, rel=1e-6, abs=1e-9)
    assert not any(math.isnan(score) for score in scores)
