"""Spoken numbers, both ways."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.errors import GrammarError
from voicecheck.speech.grammar.numbers import parse_number, say_number

VALUES = st.decimals(0, 99_999, places=3, allow_nan=False).map(Decimal.normalize)


@given(VALUES, st.sampled_from(["en", "ko"]))
def test_what_is_said_is_understood(value: Decimal, language: str) -> None:
    """Reading a number back and hearing it again gives the same number."""
    assert parse_number(say_number(value, language), language) == value


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("1012", "one zero one two"),
        ("206", "two zero six"),
        ("1.225", "one point two two five"),
        ("452.7", "four five two point seven"),
    ],
)
def test_numbers_are_said_digit_by_digit(value: str, words: str) -> None:
    """As radio procedure asks; it says DECIMAL where we say point.

    Source: ICAO Annex 10 volume II, 5.2.1.4.1.1: each digit separately; 1012
    is the example of a read-back there, the others follow the same rule.
    """
    assert say_number(Decimal(value), "en") == words


def test_decimal_and_niner_are_understood() -> None:
    """Source: ICAO Annex 10 volume II, 5.2.1.4.3: DAY-SEE-MAL, NIN-er."""
    assert parse_number("one niner decimal two", "en") == Decimal("19.2")


@pytest.mark.parametrize(
    "words", ["", "point", "point five", "one point", "one point two point", "ten"]
)
def test_what_is_no_number_is_none(words: str) -> None:
    """Half a number is no number."""
    assert parse_number(words, "en") is None


def test_a_language_without_digits_is_an_error() -> None:
    """The text says which language."""
    with pytest.raises(GrammarError, match="xx"):
        parse_number("one", "xx")
