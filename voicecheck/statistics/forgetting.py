"""How fast somebody forgets, beside what a schedule supposes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import brentq, minimize_scalar
from scipy.stats import chi2

from voicecheck.statistics.interval import Interval

Array = np.ndarray[Any, np.dtype[np.float64]]

LEAST_REVIEWS = 60
"""Fewer say too little of memory. In simulated reviews the interval spans a factor of
24 with 30 of them, of ten with 60, of three with 200; the bound is ours."""
FSRS6_DECAY = 0.1542
"""w20 of the default weights of FSRS-6."""
_FARTHEST = float(np.log(1000.0))
"""Factors beyond 1/1000 … 1000 are not looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forgetting:
    """A factor on the stabilities of a schedule."""

    factor: float
    """1: as the schedule supposes; 0.5: forgets in half the time."""
    interval: Interval
    """The whole range that was looked at, at an end that the data leave open."""
    reviews: int
    recalled: int


def recall_curve(
    elapsed_d: float | Array, stability_d: float | Array, decay: float = FSRS6_DECAY
) -> Array:
    """Return the chance of recall after a time, 0 … 1.

    Source:
        R(t, S) = (1 + f·t/S)^(-w20), f = 0.9^(-1/w20) - 1, so that R(S, S) = 0.9:
        FSRS-6, Ye et al. (open).
    """
    scale = 0.9 ** (-1 / decay) - 1
    found = (1 + scale * np.asarray(elapsed_d) / np.asarray(stability_d)) ** -decay
    return np.asarray(found, dtype=np.float64)


def forgetting(
    elapsed_d: Sequence[float],
    stability_d: Sequence[float],
    recalled: Sequence[bool],
    *,
    confidence: float = 0.95,
    least_reviews: int = LEAST_REVIEWS,
) -> Forgetting | None:
    """Fit one factor to all stabilities by maximum likelihood.

    Args:
        elapsed_d: days since the review before, > 0, shape (n,).
        stability_d: what the schedule supposed then, days, > 0, shape (n,).
        recalled: whether it was recalled, shape (n,).
        confidence: of the interval.
        least_reviews: fewer give None.

    Returns:
        None where it cannot be told: too few reviews, or all or none recalled.

    Source:
        Interval by the likelihood ratio, chi-squared with one degree of freedom:
        Wilks 1938, Ann. Math. Stat. 9:60-62. One factor for all cards: ours.
    """
    elapsed, supposed = np.asarray(elapsed_d, float), np.asarray(stability_d, float)
    known = np.asarray(recalled, bool)
    if not len(elapsed) == len(supposed) == len(known):
        raise ValueError("one stability and one outcome for each review")
    if (elapsed <= 0).any() or (supposed <= 0).any():
        raise ValueError("times and stabilities are above 0 days")
    if len(known) < least_reviews or known.all() or not known.any():
        return None

    def loss(log_factor: float) -> float:
        chance = recall_curve(elapsed, supposed * np.exp(log_factor))
        chance = np.clip(chance, 1e-12, 1 - 1e-12)
        return -float(np.where(known, np.log(chance), np.log1p(-chance)).sum())

    best = minimize_scalar(loss, bounds=(-_FARTHEST, _FARTHEST), method="bounded")
    limit = float(best.fun) + float(chi2.ppf(confidence, 1)) / 2

    def above(log_factor: float) -> float:
        return loss(log_factor) - limit

    low = -_FARTHEST if above(-_FARTHEST) < 0 else brentq(above, -_FARTHEST, best.x)
    high = _FARTHEST if above(_FARTHEST) < 0 else brentq(above, best.x, _FARTHEST)
    return Forgetting(
        factor=float(np.exp(best.x)),
        interval=Interval(low=float(np.exp(low)), high=float(np.exp(high))),
        reviews=len(known),
        recalled=int(known.sum()),
    )
