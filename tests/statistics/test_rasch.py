"""The Rasch model against a published data set and statsmodels."""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.discrete.conditional_models import ConditionalLogit

from voicecheck.statistics.rasch import rasch

LSAT6 = (
    *(3, 6, 2, 11, 1, 1, 3, 4, 1, 8, 0, 16, 0, 3, 2, 15),
    *(10, 29, 14, 81, 3, 28, 15, 80, 16, 56, 21, 173, 11, 61, 28, 298),
)
"""How many of 1,000 persons gave each pattern of five answers, from 00000 to 11111:
section 6 of a law school admission test, Bock & Lieberman 1970, Psychometrika
35:179-197 (from memory; the sums below are the published ones)."""

RIGHT = [924, 709, 553, 763, 870]


def lsat6() -> list[list[int]]:
    """Return one row a person."""
    return [
        [int(digit) for digit in f"{pattern:05b}"]
        for pattern, count in enumerate(LSAT6)
        for _ in range(count)
    ]


def course(seed: int, difficulties: np.ndarray, persons: int) -> np.ndarray:
    """Return what a simulated course leaves behind."""
    rng = np.random.default_rng(seed)
    ability = rng.normal(0.5, 1.0, (persons, 1))
    chance = 1 / (1 + np.exp(difficulties - ability))
    return (rng.random(chance.shape) < chance).astype(int)


def test_the_data_are_the_published_ones() -> None:
    """1,000 persons and the number right of each item."""
    assert np.array(lsat6()).sum(axis=0).tolist() == RIGHT
    assert sum(LSAT6) == 1000


def test_the_law_school_data() -> None:
    """Difficulties on a scale that adds up to 0: Andersen & Madsen 1977,
    Psychometrika 42:357-374, conditional likelihood (from memory, two places)."""
    found = rasch(lsat6())
    assert found is not None

    assert [one.difficulty for one in found.items] == pytest.approx(
        [-1.26, 0.48, 1.24, 0.17, -0.62], abs=0.01
    )


def test_it_is_the_conditional_logit_of_statsmodels() -> None:
    """Persons as groups and items as columns give the same likelihood: estimates
    and their errors agree with an independent library."""
    results = course(3, np.array([-1.0, -0.3, 0.2, 1.1]), 120)
    mixed = results[(results.sum(axis=1) > 0) & (results.sum(axis=1) < 4)]
    columns = np.tile(np.eye(4)[:, 1:], (len(mixed), 1))
    groups = np.repeat(np.arange(len(mixed)), 4)
    theirs = ConditionalLogit(mixed.ravel(), -columns, groups=groups).fit(disp=False)
    found = rasch(results.tolist())
    assert found is not None

    ours = np.array([one.difficulty for one in found.items])
    assert found.persons == len(mixed)
    assert ours[1:] - ours[0] == pytest.approx(theirs.params, abs=1e-3)
    spread = np.eye(4)[:, 1:] - 0.25
    errors = np.sqrt(np.diag(spread @ theirs.cov_params() @ spread.T))
    assert [one.standard_error for one in found.items] == pytest.approx(
        errors, abs=1e-3
    )


def test_true_difficulties_come_back() -> None:
    """Of 60 courses of 100 persons with fixed seeds, 300 intervals of difficulty:
    at least 91 % hold the truth. Were they right in 95 % and independent, fewer
    would come with a chance of 0.2 %."""
    truth = np.array([-1.2, -0.5, 0.0, 0.6, 1.1])
    inside = []
    for seed in range(60):
        found = rasch(course(seed, truth, 100).tolist())
        assert found is not None
        inside += [
            true in one.interval for true, one in zip(truth, found.items, strict=True)
        ]

    assert np.mean(inside) >= 0.91


@pytest.mark.parametrize(
    "results",
    [
        pytest.param([], id="nobody"),
        pytest.param([[1], [0]] * 40, id="one item"),
        pytest.param([[1, 0], [0, 1]] * 5, id="ten persons"),
        pytest.param([[1, 1], [0, 0]] * 40, id="all or nothing"),
        pytest.param([[1, 0]] * 40, id="one always harder"),
        pytest.param([[1, None], [None, 0]] * 40, id="nobody met both"),
    ],
)
def test_too_little_gives_nothing(results: list[list[int | None]]) -> None:
    """None, not a figure without meaning."""
    assert rasch(results) is None
