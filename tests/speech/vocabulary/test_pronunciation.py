"""Looking phrases up in the pronouncing dictionary."""

from __future__ import annotations

import pytest

from voicecheck.errors import GrammarError
from voicecheck.speech.grammar import files
from voicecheck.speech.vocabulary.features import PHONES
from voicecheck.speech.vocabulary.pronunciation import pronounce


@pytest.mark.parametrize(
    ("phrase", "phones"),
    [
        ("niner", "N AY N ER"),
        ("fife", "F AY F"),
        ("affirm", "AH F ER M"),
        ("negative", "N EH G AH T IH V"),
        ("not fitted", "N AA T F IH T AH D"),
    ],
)
def test_phrases_are_spoken_as_in_the_dictionary(phrase: str, phones: str) -> None:
    """The CMU pronouncing dictionary, stress marks left out."""
    assert tuple(phones.split()) in pronounce(phrase)


@pytest.mark.parametrize(
    ("word", "phones"),
    [("four", "F OW ER"), ("five", "F AY F"), ("three", "T R IY")],
)
def test_radio_words_count_as_second_ways(word: str, phones: str) -> None:
    """Fower, fife and tree of ICAO Annex 10 stand in our own list."""
    ways = pronounce(word)
    assert tuple(phones.split()) in ways
    assert ways[0] != tuple(phones.split())


@pytest.mark.parametrize("question", files.question_names("en"))
def test_every_phrase_of_every_grammar_has_phones(question: str) -> None:
    """No word is missing, and every phone has features."""
    for phrase in files.load(question, "en").phrases:
        for way in pronounce(phrase.text):
            assert set(way) <= set(PHONES)
            assert len(way) >= 2


def test_ways_of_the_words_are_combined() -> None:
    """Two words with two ways each give four."""
    assert len(pronounce("four five")) == len(pronounce("four")) * len(
        pronounce("five")
    )


@pytest.mark.parametrize(
    ("phrase", "language", "words"),
    [
        ("", "en", "at least one word"),
        ("qzxv", "en", "pronunciations.dict"),
        ("good (", "en", "'\\('"),
        ("good", "ko", "English"),
    ],
)
def test_what_cannot_be_looked_up_is_said(
    phrase: str, language: str, words: str
) -> None:
    """Each error says what to do."""
    with pytest.raises(GrammarError, match=words):
        pronounce(phrase, language)
