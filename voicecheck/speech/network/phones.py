"""Phones in the sound: how well a phrase's pronunciation explains an utterance.

The network gives, every 20 ms, the probability of each phone and of "blank"
(nothing new). Connectionist temporal classification sums over all ways in
which a pronunciation can be laid along the utterance. A phrase needs no class
of its own for this, so the words of a site can be judged too.

Source: Graves et al. 2006, "Connectionist Temporal Classification", sections
4.1 (forward variables) and 3.2 (best path).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["BLANK", "SYMBOLS", "best_path", "free_score", "path_scores"]

SYMBOLS: tuple[str, ...] = (
    "-", "AA", "AE", "AH", "AO", "AW", "AY", "B", "CH", "D", "DH", "EH", "ER",
    "EY", "F", "G", "HH", "IH", "IY", "JH", "K", "L", "M", "N", "NG", "OW", "OY",
    "P", "R", "S", "SH", "T", "TH", "UH", "UW", "V", "W", "Y", "Z", "ZH",
)  # fmt: skip
"""Blank, then the 39 phones of ARPAbet without stress."""

BLANK = 0
_NEVER = -1e9


def path_scores(
    log_phones: NDArray[np.float32], pronunciations: Sequence[Sequence[str]]
) -> NDArray[np.float64]:
    """Return the log probability of each pronunciation, all alignments summed.

    Args:
        log_phones: log probability of each symbol, shape (time, len(SYMBOLS)).
        pronunciations: ARPAbet symbols, at least one each.

    Returns:
        Shape (len(pronunciations),), nats; about -1e9 where the utterance is
        shorter than the pronunciation.

    Raises:
        KeyError: a symbol is not ARPAbet.
    """
    places = {symbol: index for index, symbol in enumerate(SYMBOLS)}
    longest = max(len(p) for p in pronunciations)
    states = np.zeros((len(pronunciations), 2 * longest + 1), dtype=np.intp)
    for row, phones in enumerate(pronunciations):
        states[row, 1 : 2 * len(phones) : 2] = [places[p] for p in phones]
    # a step over a blank is allowed between phones that differ
    skips = np.full(states.shape, _NEVER)
    skips[:, 2:][(states[:, 2:] != BLANK) & (states[:, 2:] != states[:, :-2])] = 0.0
    ends = np.array([2 * len(p) for p in pronunciations])
    heard = log_phones.astype(np.float64)[:, states]  # (time, rows, states)
    forward = np.full(states.shape, _NEVER)
    forward[:, :2] = heard[0][:, :2]
    for step in heard[1:]:
        one = np.pad(forward, ((0, 0), (1, 0)), constant_values=_NEVER)[:, :-1]
        two = np.pad(forward, ((0, 0), (2, 0)), constant_values=_NEVER)[:, :-2]
        forward = np.logaddexp(np.logaddexp(forward, one), two + skips) + step
    rows = np.arange(len(pronunciations))
    return np.asarray(np.logaddexp(forward[rows, ends], forward[rows, ends - 1]))


def free_score(log_phones: NDArray[np.float32]) -> float:
    """Return the log probability of the best path of all, in nats."""
    return float(log_phones.max(axis=1).astype(np.float64).sum())


def best_path(log_phones: NDArray[np.float32]) -> tuple[str, ...]:
    """Return the phones of the best path: repeats joined, blanks left out."""
    best = log_phones.argmax(axis=1)
    kept = best[np.r_[True, best[1:] != best[:-1]]]
    return tuple(SYMBOLS[int(i)] for i in kept if i != BLANK)
