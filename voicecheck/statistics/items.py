"""What a course tells about its items: how hard each is, and whether it divides.

An item is one planted fault or one question; a person's result in it is 1
(found, right), 0 (missed, wrong) or None (not met).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.stats import pearsonr

from voicecheck.statistics.interval import Interval
from voicecheck.statistics.proportions import wilson

Results = Sequence[Sequence[int | None]]
"""One row a person, one column an item."""

LEAST_PERSONS = 10
"""Fewer persons give a correlation that says nothing: with ten, the 95 % interval
of r = 0.5 still reaches from -0.2 to 0.9 (Fisher 1921); the bound is ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemFigures:
    """One item in classical test theory."""

    persons: int
    """Who met it."""
    right: int
    difficulty: float | None
    """Share that got it right: high is easy. None: nobody met it."""
    difficulty_interval: Interval | None
    """Wilson's."""
    discrimination: float | None
    """Correlation of the item with the share of the other items that were right,
    -1 … 1. None: too few persons, or no spread in one of the two."""
    discrimination_interval: Interval | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseFigures:
    """All items, and how well they hang together."""

    items: tuple[ItemFigures, ...]
    persons: int
    complete_persons: int
    """Who met every item; only they count for alpha."""
    alpha: float | None
    """Cronbach's alpha, which is KR-20 for 0 and 1. None: too few to tell."""
    persons_needed: int
    """How many persons each figure of discrimination and alpha wants at least."""


def item_figures(results: Results, confidence: float = 0.95) -> CourseFigures:
    """Return difficulty and discrimination of each item, and alpha.

    Raises:
        ValueError: rows of different length, or other entries than 0, 1, None.

    Source:
        Point-biserial correlation of item and rest: Lord & Novick 1968,
        Statistical Theories of Mental Test Scores. Alpha: Cronbach 1951,
        Psychometrika 16:297-334; KR-20: Kuder & Richardson 1937, Psychometrika
        2:151-160. Interval of a correlation: Fisher 1921, by scipy.
    """
    grid = as_grid(results)
    complete = grid[~np.isnan(grid).any(axis=1)]
    return CourseFigures(
        items=tuple(_item(grid, at, confidence) for at in range(grid.shape[1])),
        persons=len(grid),
        complete_persons=len(complete),
        alpha=_alpha(complete),
        persons_needed=LEAST_PERSONS,
    )


def as_grid(results: Results) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return results as numbers, shape (persons, items); not met is not a number.

    Raises:
        ValueError: rows of different length, or other entries than 0, 1, None.
    """
    if len({len(row) for row in results}) > 1:
        raise ValueError("each person has one entry for each item")
    if any(one not in (0, 1, None) for row in results for one in row):
        raise ValueError("an entry is 0, 1 or None")
    items = len(results[0]) if results else 0
    grid = np.full((len(results), items), np.nan)
    for at, row in enumerate(results):
        grid[at] = [np.nan if one is None else float(one) for one in row]
    return grid


def _item(
    grid: np.ndarray[Any, np.dtype[np.float64]], at: int, confidence: float
) -> ItemFigures:
    own = grid[:, at]
    met = ~np.isnan(own)
    persons, right = int(met.sum()), int(np.nansum(own))
    discrimination, interval = _correlation(grid, at, confidence)
    return ItemFigures(
        persons=persons,
        right=right,
        difficulty=right / persons if persons else None,
        difficulty_interval=wilson(right, persons, confidence) if persons else None,
        discrimination=discrimination,
        discrimination_interval=interval,
    )


def _correlation(
    grid: np.ndarray[Any, np.dtype[np.float64]], at: int, confidence: float
) -> tuple[float | None, Interval | None]:
    others = np.delete(grid, at, axis=1)
    both = ~np.isnan(grid[:, at]) & ~np.isnan(others).all(axis=1)
    if both.sum() < LEAST_PERSONS:
        return None, None
    own, rest = grid[both, at], np.nanmean(others[both], axis=1)
    if np.ptp(own) == 0 or np.ptp(rest) == 0:
        return None, None
    found = pearsonr(own, rest)
    ends = found.confidence_interval(confidence)
    return float(found.statistic), Interval(low=float(ends.low), high=float(ends.high))


def _alpha(complete: np.ndarray[Any, np.dtype[np.float64]]) -> float | None:
    persons, items = complete.shape
    if persons < LEAST_PERSONS or items < 2:
        return None
    whole = float(complete.sum(axis=1).var(ddof=1))
    if whole == 0:
        return None
    parts = float(complete.var(axis=0, ddof=1).sum())
    return float(items / (items - 1) * (1 - parts / whole))
