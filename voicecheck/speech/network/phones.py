"""Phones in the sound: how well a phrase's pronunciation explains an utterance.

The network gives, every 20 ms, the probability of each phone and of "blank"
(nothing new). A phrase needs no class of its own for this, so the words of a
site can be judged too. The sums are in `ctc`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from voicecheck.speech.network.ctc import BLANK, best_sequence, sequence_scores

__all__ = ["BLANK", "SYMBOLS", "best_path", "free_score", "path_scores"]

SYMBOLS: tuple[str, ...] = (
    "-", "AA", "AE", "AH", "AO", "AW", "AY", "B", "CH", "D", "DH", "EH", "ER",
    "EY", "F", "G", "HH", "IH", "IY", "JH", "K", "L", "M", "N", "NG", "OW", "OY",
    "P", "R", "S", "SH", "T", "TH", "UH", "UW", "V", "W", "Y", "Z", "ZH",
)  # fmt: skip
"""Blank, then the 39 phones of ARPAbet without stress."""


def path_scores(
    log_phones: NDArray[np.float32], pronunciations: Sequence[Sequence[str]]
) -> NDArray[np.float64]:
    """Return the log probability of each pronunciation, all alignments summed.

    Args:
        log_phones: log probability of each symbol, shape (time, len(SYMBOLS)).
        pronunciations: ARPAbet symbols, at least one each.

    Returns:
        Shape (len(pronunciations),), nats; see `ctc.sequence_scores`.

    Raises:
        KeyError: a symbol is not ARPAbet.
    """
    places = {symbol: index for index, symbol in enumerate(SYMBOLS)}
    rows = [[places[p] for p in phones] for phones in pronunciations]
    return sequence_scores(log_phones, rows)


def free_score(log_phones: NDArray[np.float32]) -> float:
    """Return the log probability of the best path of all, in nats."""
    return float(log_phones.max(axis=1).astype(np.float64).sum())


def best_path(log_phones: NDArray[np.float32]) -> tuple[str, ...]:
    """Return the phones of the best path: repeats joined, blanks left out."""
    return tuple(SYMBOLS[i] for i in best_sequence(log_phones))
