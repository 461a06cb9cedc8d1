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
        Everitt 1969, Psychol. Bull. 72:323-327. Where all agree that variance is
        0; then the lower end is where so few disagreements as could have been
        overlooked (exact bound, all of the heaviest weight) would put it: ours.
    """
    counts = np.asarray(table, dtype=np.float64)
    if counts.ndim != 2 or counts.shape[0] != counts.shape[1] or (counts < 0).any():
        raise ValueError("a table of agreement is square, with counts of 0 or more")
    total = float(counts.sum())
    rows = tuple(float(one) for one in counts.sum(axis=1))
    columns = tuple(float(one) for one in counts.sum(axis=0))
    value, interval = None, None
    if total > 0:
        shares = counts / total
        weight = _weights(weights, len(counts))
        chance = np.outer(shares.sum(axis=1), shares.sum(axis=0))
        by_chance = float((weight * chance).sum())
        if by_chance > 0:
            value = 1 - float((weight * shares).sum()) / by_chance
            interval = _interval(shares, weight, value, total, confidence)
    return Kappa(
        value=value,
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


def _interval(
    shares: Matrix, weight: Matrix, value: float, total: float, confidence: float
) -> Interval:
    """Return the interval, held within -1 … 1."""
    rows, columns = shares.sum(axis=1), shares.sum(axis=0)
    by_chance = float((weight * np.outer(rows, columns)).sum())
    if value == 1:
        overlooked = 1 - ((1 - confidence) / 2) ** (1 / total)
        low = 1 - overlooked * float(weight.max()) / by_chance
        return Interval(low=max(-1.0, low), high=1.0)
    # of disagreement weights; the same variance as of agreement weights 1 - w
    mean = (weight @ columns)[:, None] + (rows @ weight)[None, :]
    terms = shares * (weight - (1 - value) * mean) ** 2
    shift = (1 - value) * by_chance
    variance = float(terms.sum()) - shift**2
    error = math.sqrt(max(0.0, variance) / total) / by_chance
    half = NormalDist().inv_cdf((1 + confidence) / 2) * error
    return Interval(low=max(-1.0, value - half), high=min(1.0, value + half))
