"""The words of a spoken number, as the digit network tells them apart."""

from __future__ import annotations

__all__ = ["POINT_WORDS", "WORDS"]

POINT_WORDS = ("point", "decimal")
"""Both count as the first."""

WORDS: tuple[str, ...] = (
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
    "point",
)
"""Digits and the mark; radio spellings and "niner" count as their digit."""
