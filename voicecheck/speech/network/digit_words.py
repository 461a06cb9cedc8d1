"""The words of a spoken number, as the digit network tells them apart."""

from __future__ import annotations

__all__ = ["DIGITS", "POINT_WORDS", "WORDS", "counted_as"]

POINT_WORDS = ("point", "decimal")
"""Both count as the first."""

DIGITS: tuple[str, ...] = (
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
)

WORDS: tuple[str, ...] = (*DIGITS, POINT_WORDS[0])
"""Digits and the mark."""

_SAME = {"niner": "nine", "fower": "four", "fife": "five", "tree": "three"}
_SAME |= dict.fromkeys(POINT_WORDS, POINT_WORDS[0])


def counted_as(word: str) -> str:
    """Return the word that radio spellings, "niner" and "decimal" count as."""
    return _SAME.get(word, word)
