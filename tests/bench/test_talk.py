"""Talk that is no answer."""

from __future__ import annotations

from voicecheck.bench.near_words import neighbours
from voicecheck.bench.phrases import PHRASES
from voicecheck.bench.talk import talk_texts
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
