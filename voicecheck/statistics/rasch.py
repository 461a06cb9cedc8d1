"""A Rasch model of a course: how hard each item is, whoever was in the course."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
from scipy.optimize import minimize
from scipy.sparse.csgraph import connected_components

from voicecheck.statistics.interval import Interval
from voicecheck.statistics.items import Results, as_grid

Array = np.ndarray[Any, np.dtype[np.float64]]

LEAST_PERSONS = 30
"""Linacre 1994, Rasch Measurement Transactions 7:4, gives 30 persons for item
difficulties within one logit with 95 % (from memory)."""
_STEP = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class RaschItem:
    """One item; difficulties of all items add up to 0."""

    difficulty: float
    """Logits: above 0 is harder than the middle of the items."""
    standard_error: float
    interval: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class RaschFit:
    """Difficulties of items that do not depend on who met them."""

    items: tuple[RaschItem, ...]
    persons: int
    """Who met all items, and neither all right nor all wrong: only they tell."""


def rasch(
    results: Results, *, confidence: float = 0.95, least_persons: int = LEAST_PERSONS
) -> RaschFit | None:
    """Fit difficulties by conditional maximum likelihood.

    Args:
        results: one row a person, one column an item; who did not meet all items
            is left out.
        confidence: of the intervals.
        least_persons: fewer informative persons than that give None.

    Returns:
        None where it cannot be told: fewer than two items, too few persons, or an
        item that is always harder than some others, so that the distance between
        them has no end.

    Raises:
        ValueError: rows of different length, or other entries than 0, 1, None.

    Source:
        Rasch 1960; conditional likelihood: Andersen 1970, J. R. Stat. Soc. B
        32:283-301; when it has a maximum: Fischer 1981, Psychometrika 46:59-77.
    """
    grid = as_grid(results)
    items = grid.shape[1]
    if items < 2:
        return None
    grid = grid[~np.isnan(grid).any(axis=1)]
    scores = grid.sum(axis=1).astype(int)
    grid = grid[(scores > 0) & (scores < items)]
    if len(grid) < least_persons or not _has_maximum(grid):
        return None
    right = grid.sum(axis=0)
    per_score = np.bincount(grid.sum(axis=1).astype(int), minlength=items + 1)
    persons = per_score.astype(np.float64)

    def slope(free: Array) -> Array:
        expected = _expected(np.append(0.0, free), persons)
        return np.asarray(right - expected)[1:]

    def loss(free: Array) -> float:
        easiness = np.exp(-np.append(0.0, free))
        return float(right[1:] @ free + persons @ np.log(_symmetric(easiness)))

    found = minimize(loss, np.zeros(items - 1), jac=slope, method="BFGS")
    curve = np.array(
        [
            (slope(found.x + step) - slope(found.x - step)) / (2 * _STEP)
            for step in np.eye(items - 1) * _STEP
        ]
    )
    centre = np.eye(items)[:, 1:] - 1 / items  # from free values to a sum of zero
    errors = np.sqrt(np.diag(centre @ np.linalg.inv(curve) @ centre.T))
    factor = NormalDist().inv_cdf((1 + confidence) / 2)
    return RaschFit(
        items=tuple(
            _item(float(value), float(error), factor)
            for value, error in zip(centre @ found.x, errors, strict=True)
        ),
        persons=len(grid),
    )


def _item(difficulty: float, error: float, factor: float) -> RaschItem:
    half = factor * error
    return RaschItem(
        difficulty=difficulty,
        standard_error=error,
        interval=Interval(low=difficulty - half, high=difficulty + half),
    )


def _has_maximum(grid: Array) -> bool:
    """Tell whether each item was at times harder than each other, by some chain."""
    harder = grid.T @ (1 - grid)
    return int(connected_components(harder > 0, connection="strong")[0]) == 1


def _symmetric(easiness: Array) -> Array:
    """Return the elementary symmetric functions, orders 0 … n."""
    found = np.zeros(len(easiness) + 1)
    found[0] = 1.0
    for at, one in enumerate(easiness):
        found[1 : at + 2] += one * found[: at + 1].copy()
    return found


def _expected(difficulty: Array, persons: Array) -> Array:
    """Return how often each item is expected right, given everybody's score."""
    easiness = np.exp(-difficulty)
    whole = _symmetric(easiness)
    expected = np.zeros(len(easiness))
    for at, one in enumerate(easiness):
        rest = _symmetric(np.delete(easiness, at))
        expected[at] = persons[1:] @ (one * rest / whole[1:])
    return expected
