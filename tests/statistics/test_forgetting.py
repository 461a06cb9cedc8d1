"""How fast somebody forgets: the published curve, and a known memory found again."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binom

from voicecheck.statistics.forgetting import (
    LEAST_REVIEWS,
    Forgetting,
    forgetting,
    recall_curve,
)


@pytest.mark.parametrize(
    ("elapsed_d", "chance"),
    [(0, 1), (5, 0.9403), (10, 0.9), (20, 0.8459), (50, 0.7605), (100, 0.6928)],
)
def test_the_curve_of_fsrs_6(elapsed_d: float, chance: float) -> None:
    """Stability 10 days: as the package fsrs 6.3.2 gives it, four places."""
    assert recall_curve(elapsed_d, 10.0) == pytest.approx(chance, abs=5e-5)


def test_the_curve_of_fsrs_5() -> None:
    """The older decay of 0.5: 0.8250 after twice the stability."""
    assert recall_curve(20, 10.0, 0.5) == pytest.approx(0.8250, abs=5e-5)


def practised(seed: int, factor: float, reviews: int) -> Forgetting | None:
    """Return what is told of somebody who forgets so much faster or slower."""
    rng = np.random.default_rng(seed)
    stability = rng.lognormal(1.5, 1.0, reviews)
    elapsed = np.ceil(stability * rng.uniform(0.5, 3.0, reviews))
    recalled = rng.random(reviews) < recall_curve(elapsed, stability * factor)
    return forgetting(elapsed.tolist(), stability.tolist(), recalled.tolist())


@pytest.mark.parametrize("factor", [0.3, 1.0, 2.0])
def test_a_known_memory_comes_back(factor: float) -> None:
    """Of 100 learners with fixed seeds the intervals of nearly all hold the truth: if
    they did in 93 %, so few as to fail here would come once in 10,000 times."""
    found = [practised(seed, factor, 200) for seed in range(100)]
    told = [one for one in found if one is not None]

    held = sum(factor in one.interval for one in told)
    assert len(told) >= 99
    assert held >= binom.ppf(1e-4, len(told), 0.93)
    middle = float(np.median([np.log(one.factor) for one in told]))
    assert middle == pytest.approx(np.log(factor), abs=0.15)


def test_the_best_factor_is_the_likeliest() -> None:
    """No factor of a fine grid makes the outcomes likelier."""
    elapsed, stability = [3.0] * 20 + [9.0] * 20, [4.0] * 40
    recalled = [True] * 17 + [False] * 3 + [True] * 12 + [False] * 8
    found = forgetting(elapsed, stability, recalled, least_reviews=40)
    assert found is not None

    grid = np.exp(np.linspace(-4, 4, 4001))
    chance = recall_curve(np.array(elapsed), np.outer(grid, stability))
    likely = np.where(recalled, np.log(chance), np.log1p(-chance)).sum(axis=1)
    assert found.factor == pytest.approx(grid[likely.argmax()], rel=3e-3)
    assert found.factor in found.interval


@pytest.mark.parametrize(
    ("count", "known"),
    [(LEAST_REVIEWS - 1, 10), (90, 90), (90, 0), (0, 0)],
    ids=["too few", "all recalled", "none recalled", "nothing"],
)
def test_too_little_gives_nothing(count: int, known: int) -> None:
    """None, not a figure without end."""
    recalled = [True] * known + [False] * (count - known)

    assert forgetting([2.0] * count, [2.0] * count, recalled) is None


def test_impossible_reviews_are_refused() -> None:
    """No time has passed, or the lists do not fit."""
    with pytest.raises(ValueError, match="above 0"):
        forgetting([0.0], [1.0], [True])
    with pytest.raises(ValueError, match="one stability"):
        forgetting([1.0], [1.0, 2.0], [True])
