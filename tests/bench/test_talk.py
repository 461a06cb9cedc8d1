"""Talk that is no answer."""

from __future__ import annotations

from voicecheck.bench.near_words import neighbours
from voicecheck.bench.phrases import PHRASES
from voicecheck.bench.talk import number_texts, talk_texts
from voicecheck.bench.training.spoken import words_said
from voicecheck.bench.yard_talk import yard_sentences


def test_talk_is_of_all_kinds_and_repeats_by_seed() -> None:
    """Strings of digits, near words, sentences and words of the dictionary."""
    texts = talk_texts(400, 5)

    assert texts == talk_texts(400, 5)
    assert texts != talk_texts(400, 6)
    digits = {"zero", "one", "two", "three", "four", "five", "six", "seven", "eight"}
    digits |= {"nine", "oh", "point"}
    strings = sum(set(text.split()) <= digits for text in texts)
    near = sum(text in neighbours() for text in texts)
    assert 80 < strings < 170
    assert 80 < near < 170
    assert sum(len(text.split()) > 3 for text in texts) > 60


def test_sentences_are_no_phrases() -> None:
    """Each has more to it than a phrase of ours, and many differ."""
    sentences = yard_sentences(500, 2)

    assert not set(sentences) & set(PHRASES)
    assert len(set(sentences)) > 350
    assert all("{" not in text and "  " not in text for text in sentences)


def test_numbers_are_strings_of_digits_that_repeat_by_seed() -> None:
    """Two to five words, each a word of a number; a point is never at an end."""
    texts = number_texts(200, 5)

    assert texts == number_texts(200, 5)
    assert texts != number_texts(200, 6)
    said = [words_said(text) for text in texts]
    assert len(texts) > 100
    assert all(words is not None and 2 <= len(words) <= 5 for words in said)
    parts = [text.split() for text in texts]
    pointed = [words for words in parts if "point" in words]
    assert 20 < len(pointed) < len(texts) / 2
    assert all(words.index("point") == len(words) - 2 for words in pointed)
