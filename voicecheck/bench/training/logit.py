"""Fit a conditional logit: which of several candidates, or none of them.

Method: McFadden 1974, "Conditional logit analysis of qualitative choice
behavior"; weights of least cross-entropy by L-BFGS, with a weak prior.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

__all__ = ["Choice", "fit_logit"]

PRIOR = 1e-3
"""Weight of the squared weights in the loss."""

Matrix = NDArray[np.float64]
Limits = Mapping[str, tuple[float | None, float | None]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One trial."""

    candidates: Sequence[Mapping[str, float]]
    """The features of each candidate."""
    none: Mapping[str, float]
    """What speaks for none of them."""
    right: int | None
    """Which candidate was right; None: none of them."""
    counts: float = 1.0
    """How often the trial counts."""


def fit_logit(
    choices: Sequence[Choice],
    names: Sequence[str],
    none_names: Sequence[str],
    *,
    limits: Limits | None = None,
) -> tuple[dict[str, float], dict[str, float]]:
    """Find the weights of least cross-entropy.

    Args:
        choices: trials; at least one.
        names: the features of a candidate that get a weight; that of the first
            begins at 1.
        none_names: the same for "none of them".
        limits: lower and upper ends of weights, by name.

    Returns:
        Weights of the candidates' features and of those of "none".
    """
    counts = np.array([choice.counts for choice in choices])
    counts /= counts.sum()
    most = max(len(choice.candidates) for choice in choices)
    candidates = np.zeros((len(choices), most, len(names)))
    mask = np.full((len(choices), most + 1), -1e9)
    mask[:, most] = 0.0
    right = np.full(len(choices), most)
    none = np.zeros((len(choices), len(none_names)))
    for row, choice in enumerate(choices):
        for place, found in enumerate(choice.candidates):
            candidates[row, place] = [found[name] for name in names]
            mask[row, place] = 0.0
        if choice.right is not None:
            right[row] = choice.right
        none[row] = [choice.none[name] for name in none_names]
    size, rows = len(names), np.arange(len(choices))

    def loss(weights: Matrix) -> tuple[float, Matrix]:
        ours, rest = candidates @ weights[:size], none @ weights[size:]
        shares = _shares(np.column_stack([ours, rest]) + mask)
        value = -float(counts @ np.log(shares[rows, right] + 1e-12))
        slope = shares
        slope[rows, right] -= 1
        slope *= counts[:, None]
        of_candidates = np.einsum("nm,nmk->k", slope[:, :-1], candidates)
        gradient = np.concatenate([of_candidates, slope[:, -1] @ none])
        return value + PRIOR * float(weights @ weights), gradient + 2 * PRIOR * weights

    start = np.zeros(size + len(none_names))
    start[0] = 1.0
    known = limits or {}
    bounds = [known.get(name, (None, None)) for name in (*names, *none_names)]
    found = minimize(loss, start, jac=True, method="L-BFGS-B", bounds=bounds).x
    named = [round(float(w), 4) for w in found]
    return (
        dict(zip(names, named[:size], strict=True)),
        dict(zip(none_names, named[size:], strict=True)),
    )


def _shares(scores: Matrix) -> Matrix:
    scores = scores - scores.max(axis=1, keepdims=True)
    shares = np.exp(scores)
    return np.asarray(shares / shares.sum(axis=1, keepdims=True))
