"""The loud part of an utterance that others have made too long."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.speech.focus import (
    LONGER_THAN_S,
    OVER_S,
    loud_part_is_over,
    loud_parts,
)


def noise(seconds: float, level: float, seed: int = 1) -> Frames:
    """White noise with this root mean square."""
    rng = np.random.default_rng(seed)
    return (level * rng.standard_normal(round(seconds * RATE_HZ))).astype(np.float32)


def talk(before_s: float, word_s: float, after_s: float, under_db: float) -> Frames:
    """A word, and others' voices so far below it before and after."""
    others = 0.1 * 10 ** (-under_db / 20)
    return np.concatenate(
        [noise(before_s, others), noise(word_s, 0.1, 2), noise(after_s, others, 3)]
    )


@pytest.mark.parametrize("under_db", [9.0, 15.0, 25.0])
def test_the_word_is_found_among_others(under_db: float) -> None:
    """It lies in the shortest part, with a quarter of a second around it."""
    sound = talk(0.6, 0.5, 0.9, under_db)

    part = loud_parts(sound)[0]

    at = int(np.flatnonzero(sound == part[0])[0])
    assert at <= 0.6 * RATE_HZ
    assert at + len(part) >= 1.1 * RATE_HZ
    assert len(part) <= 1.25 * RATE_HZ


def test_a_stop_consonant_does_not_cut_a_word() -> None:
    """A silence of 0.15 s inside is bridged."""
    word = np.concatenate([noise(0.3, 0.1), noise(0.15, 1e-4), noise(0.3, 0.1, 2)])
    sound = np.concatenate([noise(0.5, 0.01, 4), word, noise(0.6, 0.01, 5)])

    assert all(len(part) >= len(word) for part in loud_parts(sound))


def test_a_short_utterance_is_left_alone() -> None:
    """A word between pieces of background, as it usually comes."""
    assert loud_parts(talk(0.3, 0.5, 0.2, 30.0)) == ()


def test_a_sentence_is_no_word_among_others() -> None:
    """Two words about as loud, half a second apart: neither is picked out."""
    pause, word = noise(0.5, 0.005, 4), noise(0.5, 0.1)
    sound = np.concatenate([word, pause, 1.2 * word, pause])

    assert loud_parts(sound) == ()


def test_steady_talk_has_no_loud_part() -> None:
    """Where all is as loud there is nothing to find."""
    assert loud_parts(noise(2.5, 0.1)) == ()


@given(st.integers(0, 2**31), st.floats(0.0, 3.0), st.floats(-60.0, 0.0))
@settings(max_examples=40, deadline=None)
def test_parts_are_pieces_that_grow(seed: int, seconds: float, level_db: float) -> None:
    """Whatever the sound: each part lies in it, holds its loudest moment's
    neighbourhood, and is longer than the one before."""
    rng = np.random.default_rng(seed)
    shape = np.repeat(rng.uniform(0, 1, 40) ** 3, 1200)[: round(seconds * RATE_HZ)]
    sound = noise(len(shape) / RATE_HZ, 10 ** (level_db / 20), seed)
    sound = sound * shape.astype(np.float32)

    parts = loud_parts(sound)

    lengths = [len(part) for part in parts]
    assert lengths == sorted(set(lengths))
    assert all(length < len(sound) for length in lengths)
    assert not parts or len(sound) >= LONGER_THAN_S * RATE_HZ
    assert all(np.shares_memory(part, sound) for part in parts)


@pytest.mark.parametrize(("after_s", "over"), [(0.3, False), (OVER_S + 0.2, True)])
def test_a_word_is_over_when_others_have_talked_on(after_s: float, over: bool) -> None:
    """Not at once: the next word of a phrase may come."""
    assert loud_part_is_over(talk(1.5, 0.5, after_s, 12.0)) is over


def test_talk_about_as_loud_is_never_over() -> None:
    """Nobody stands out among talkers 2 dB apart."""
    assert not loud_part_is_over(talk(1.5, 0.5, 1.5, 2.0))
