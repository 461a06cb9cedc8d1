"""Texts that are no answers, by the hundred: they teach sounds, not phrases."""

from __future__ import annotations

import numpy as np

from voicecheck.bench.near_words import neighbours
from voicecheck.bench.phrases import chatter_words
from voicecheck.bench.yard_talk import yard_sentences

__all__ = ["number_texts", "talk_texts"]

_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight")
_STRINGS, _NEAR, _SENTENCES = 0.3, 0.3, 0.2
"""Shares of the strings of digits, near words and sentences."""


def talk_texts(count: int, seed: int) -> tuple[str, ...]:
    """Make texts: strings of digits, near words, sentences, words and pairs.

    A string has two to five digits, now and then with a point; words of the
    dictionary come by one to three.

    Args:
        count: how many.
        seed: of the choice.
    """
    rng = np.random.default_rng(seed)
    words = iter(chatter_words(3 * count, seed))
    near = np.array(neighbours(), dtype=object)
    sentences = iter(yard_sentences(count, seed))
    made: list[str] = []
    for _ in range(count):
        kind = rng.uniform()
        if kind < _STRINGS:
            made.append(_digits(rng))
        elif kind < _STRINGS + _NEAR:
            made.append(str(rng.choice(near)))
        elif kind < _STRINGS + _NEAR + _SENTENCES:
            made.append(next(sentences))
        else:
            made.append(" ".join(next(words) for _ in range(int(rng.integers(1, 4)))))
    return tuple(made)


def number_texts(count: int, seed: int) -> tuple[str, ...]:
    """Make strings of two to five digits, now and then with a point.

    Args:
        count: how many are drawn; those with an "oh", which no number may hold, are
            left out.
        seed: of the choice.
    """
    rng = np.random.default_rng(seed)
    drawn = [_digits(rng) for _ in range(count)]
    return tuple(text for text in drawn if "oh" not in text.split())


def _digits(rng: np.random.Generator) -> str:
    size = int(rng.integers(2, 6))
    parts = [str(d) for d in rng.choice((*_DIGITS, "nine", "oh"), size=size)]
    if size > 2 and rng.uniform() < 0.4:
        parts[-2] = "point"
    return " ".join(parts)
