"""Strings of digit words: legal ones, near ones, distances."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.speech.grammar.numbers import parse_number
from voicecheck.speech.network.digit_words import WORDS
from voicecheck.speech.numbers.strings import (
    LONGEST,
    apart,
    is_number,
    neighbours,
    words_of,
)

STRINGS = st.lists(st.sampled_from(WORDS), max_size=LONGEST + 1).map(tuple)
NUMBERS = STRINGS.filter(is_number)


@pytest.mark.parametrize(
    ("one", "other", "distance"),
    [
        ("kitten", "sitting", 3),
        ("saturday", "sunday", 3),
        ("intention", "execution", 5),
        ("", "abc", 3),
    ],
)
def test_distances_of_the_textbooks(one: str, other: str, distance: int) -> None:
    """Worked examples of the Levenshtein distance.

    Kitten/sitting and Saturday/Sunday stand in most textbooks (from memory);
    intention/execution: Jurafsky and Martin, "Speech and Language Processing",
    chapter on minimum edit distance (from memory).
    """
    assert apart(tuple(one), tuple(other)) == distance


@given(STRINGS, STRINGS, STRINGS)
def test_it_is_a_distance(
    one: tuple[str, ...], two: tuple[str, ...], three: tuple[str, ...]
) -> None:
    """Zero for the same, the same both ways, and no detour is shorter."""
    assert (apart(one, two) == 0) == (one == two)
    assert apart(one, two) == apart(two, one)
    assert apart(one, three) <= apart(one, two) + apart(two, three)


@given(STRINGS)
def test_a_number_is_what_the_grammar_makes_a_value_of(words: tuple[str, ...]) -> None:
    """Only the length is limited besides."""
    value = parse_number(" ".join(words), "en")

    assert is_number(words) == (value is not None and len(words) <= LONGEST)


@given(NUMBERS)
def test_neighbours_are_one_word_away(words: tuple[str, ...]) -> None:
    """The number itself, and all that one change makes of it."""
    near = neighbours([words])

    assert words in near
    assert all(apart(words, other) <= 1 and is_number(other) for other in near)
    if len(words) < LONGEST:
        assert (*words, "eight") in near
    assert all(
        (*words[:place], "one", *words[place + 1 :]) in near
        for place, word in enumerate(words)
        if word != "point"
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("four niner decimal two", ("four", "nine", "point", "two")),
        ("fower fife tree", ("four", "five", "three")),
        ("four point", ()),
        ("cannot check", ()),
        ("", ()),
    ],
)
def test_radio_spellings_are_their_digits(text: str, words: tuple[str, ...]) -> None:
    """ICAO Annex 10 volume II, 5.2.1.4.3: the digits' pronunciations."""
    assert words_of(text) == words
