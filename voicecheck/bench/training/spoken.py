"""The phones, and the words of a number, that a clip says: what is to be learned."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from voicecheck.errors import GrammarError
from voicecheck.speech.network.digit_words import WORDS, counted_as
from voicecheck.speech.network.phones import SYMBOLS
from voicecheck.speech.vocabulary.pronunciation import pronounce

__all__ = ["phone_table", "words_said"]


@cache
def _word(word: str) -> tuple[int, ...] | None:
    try:
        phones = pronounce(word)[0]
    except GrammarError:
        return None
    return tuple(SYMBOLS.index(p) for p in phones)


def phone_table(
    texts: Sequence[str],
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Look up the usual pronunciation of each text.

    Returns:
        Indices of phones, shape (texts, most), padded with 0; and how many
        there are in each, -1 where a word is in no dictionary.
    """
    found: list[tuple[int, ...] | None] = []
    for text in texts:
        words = [_word(w) for w in text.lower().replace(",", " ").split()]
        known = [w for w in words if w is not None]
        complete = len(known) == len(words)
        found.append(tuple(p for w in known for p in w) if complete else None)
    most = max(len(f) for f in found if f is not None)
    table = np.zeros((len(found), most), dtype=np.int64)
    for row, phones in enumerate(found):
        table[row, : len(phones or ())] = phones or ()
    lengths = np.array([-1 if f is None else len(f) for f in found])
    return table, lengths


def words_said(text: str) -> tuple[int, ...] | None:
    """Return which words of a number a text is, None when it is no number."""
    found = []
    for part in text.split():
        word = counted_as(part)
        if word not in WORDS:
            return None
        found.append(WORDS.index(word))
    return tuple(found) if found else None
