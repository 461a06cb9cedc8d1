"""Strings of digit words: which may be, which are near, how far apart they lie."""

from __future__ import annotations

from collections.abc import Iterable

from voicecheck.speech.network.digit_words import POINT_WORDS, WORDS, counted_as

__all__ = ["LONGEST", "Words", "apart", "is_number", "neighbours", "words_of"]

Words = tuple[str, ...]
"""A number, word by word, all of them from `WORDS`."""

LONGEST = 8
"""Words; no reading of a machine has more."""
_POINT = POINT_WORDS[0]


def words_of(text: str) -> Words:
    """Return a text as a number, () when it is none."""
    words = tuple(counted_as(word) for word in text.split())
    return words if is_number(words) else ()


def is_number(words: Words) -> bool:
    """Tell whether the words are one number, with at most one mark inside."""
    return (
        0 < len(words) <= LONGEST
        and all(word in WORDS for word in words)
        and words.count(_POINT) <= 1
        and _POINT not in (words[0], words[-1])
    )


def neighbours(numbers: Iterable[Words]) -> frozenset[Words]:
    """Return the numbers, and all that are one word away from one of them."""
    found: set[Words] = set()
    for words in numbers:
        found.add(words)
        for place in range(len(words) + 1):
            before, after = words[:place], words[place:]
            found.update((*before, word, *after) for word in WORDS)
            if after:
                found.add((*before, *after[1:]))
                found.update((*before, word, *after[1:]) for word in WORDS)
    return frozenset(words for words in found if is_number(words))


def apart(one: Words, other: Words) -> int:
    """Return how many words must be put in, left out or replaced.

    Source: Levenshtein 1966, by the method of Wagner and Fischer 1974.
    """
    row = list(range(len(other) + 1))
    for count, mine in enumerate(one, 1):
        diagonal, row[0] = row[0], count
        for place, theirs in enumerate(other, 1):
            change = diagonal + (mine != theirs)
            diagonal = row[place]
            row[place] = min(row[place] + 1, row[place - 1] + 1, change)
    return row[-1]
