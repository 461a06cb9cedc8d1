"""Words one phone away from ours, by the CMU pronouncing dictionary."""

from __future__ import annotations

import pytest

from voicecheck.bench.near_words import neighbours, same_sound
from voicecheck.bench.phrases import NEAR_WORDS, PHRASES


@pytest.mark.parametrize("word", ["wood", "hood", "lick", "leap", "snow"])
def test_minimal_pairs_are_neighbours(word: str) -> None:
    """One sound replaced, left out or put in."""
    assert word in neighbours()


def test_neighbours_are_words_of_their_own() -> None:
    """None is a phrase of ours, none sounds like one."""
    found = neighbours()

    assert len(found) > 1000
    assert not set(found) & {word for phrase in PHRASES for word in phrase.split()}
    assert not any(same_sound(word, PHRASES) for word in found[::25])


@pytest.mark.parametrize(
    ("word", "phrase"),
    [("know", "no"), ("miner", "minor"), ("paws", "pause"), ("ate", "eight")],
)
def test_homophones_sound_the_same(word: str, phrase: str) -> None:
    """No ear tells them apart, so none may teach doubt."""
    assert same_sound(word, [phrase])
    assert not same_sound(word, ["defect"])
    assert word not in neighbours()


def test_near_words_of_the_judging_can_be_told_apart() -> None:
    """But for "miner", which is judged all the same."""
    alike = [word for word in NEAR_WORDS if same_sound(word, PHRASES)]

    assert alike == ["miner"]


def test_a_word_that_is_in_no_dictionary_sounds_like_nothing() -> None:
    """It is not taken for a phrase."""
    assert not same_sound("xqzzt", PHRASES)
