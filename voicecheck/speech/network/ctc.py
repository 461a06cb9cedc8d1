"""Connectionist temporal classification: how likely a sequence of symbols is.

A network gives, at each step, the probability of each symbol and of "blank"
(nothing new). The probability of a sequence is the sum over all ways in which
it can be laid along the steps.

Source: Graves et al. 2006, "Connectionist Temporal Classification", sections
4.1 (forward variables) and 3.2 (best path).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["BLANK", "best_sequence", "sequence_scores"]

BLANK = 0
_NEVER = -1e9


def sequence_scores(
    logs: NDArray[np.float32], sequences: Sequence[Sequence[int]]
) -> NDArray[np.float64]:
    """Return the log probability of each sequence, all alignments summed.

    Args:
        logs: log probability of each symbol, shape (time, symbols), blank first.
        sequences: indices of symbols; an empty one is silence throughout.

    Returns:
        Shape (len(sequences),), nats; about -1e9 where there are fewer steps than
        symbols.
    """
    longest = max((len(s) for s in sequences), default=0)
    states = np.zeros((len(sequences), 2 * longest + 1), dtype=np.intp)
    for row, symbols in enumerate(sequences):
        states[row, 1 : 2 * len(symbols) : 2] = symbols
    # a step over a blank is allowed between symbols that differ
    skips = np.full(states.shape, _NEVER)
    skips[:, 2:][(states[:, 2:] != BLANK) & (states[:, 2:] != states[:, :-2])] = 0.0
    ends = np.array([2 * len(s) for s in sequences], dtype=np.intp)
    heard = logs.astype(np.float64)[:, states]  # (time, rows, states)
    forward = np.full(states.shape, _NEVER)
    forward[:, :2] = heard[0][:, :2]
    for step in heard[1:]:
        one = np.pad(forward, ((0, 0), (1, 0)), constant_values=_NEVER)[:, :-1]
        two = np.pad(forward, ((0, 0), (2, 0)), constant_values=_NEVER)[:, :-2]
        two = two[:, : forward.shape[1]]
        forward = np.logaddexp(np.logaddexp(forward, one), two + skips) + step
    rows = np.arange(len(sequences))
    last = np.where(ends > 0, forward[rows, np.maximum(ends - 1, 0)], _NEVER)
    return np.asarray(np.logaddexp(forward[rows, ends], last))


def best_sequence(logs: NDArray[np.float32]) -> tuple[int, ...]:
    """Return the symbols of the best path: repeats joined, blanks left out."""
    best = logs.argmax(axis=1)
    kept = best[np.r_[True, best[1:] != best[:-1]]]
    return tuple(int(i) for i in kept if i != BLANK)
