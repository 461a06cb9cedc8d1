"""Levels that end a word which the voice activity holds on to."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.activity import Endpointer, Speech
from voicecheck.audio.frames import Frames
from voicecheck.audio.ports import BLOCK

FAINT, LOUD = 0.001, 0.1


class Sticky:
    """Voice activity that follows a script."""

    def __init__(self, script: list[float]) -> None:
        """Keep it."""
        self._left = list(script)

    def probability(self, block: Frames) -> Speech:
        """The next of the script."""
        return Speech(self._left.pop(0))

    def reset(self) -> None:
        """Nothing is remembered."""


def ends_after(tail: list[float], *, level: float, before: int = 20) -> tuple[int, int]:
    """Where a word of ten loud blocks ends, and how long it is waited for."""
    script = [0.0] * before + [0.99] * 10 + tail + [0.0] * 20
    levels = [FAINT] * before + [LOUD] * 10 + [level] * len(tail) + [FAINT] * 20
    rng = np.random.default_rng(7)
    endpointer = Endpointer(Sticky(script))
    for number, rms in enumerate(levels):
        block = rng.normal(0, rms, BLOCK).astype(np.float32)
        utterance = endpointer.accept(block)
        if utterance is not None:
            return utterance.ends_block - before, number
    raise AssertionError("no utterance ended")


@pytest.mark.parametrize("held", [1, 4, 8])
def test_background_that_the_activity_holds_on_to_is_silence(held: int) -> None:
    """However late it lets go, the word ends with its last loud block."""
    assert ends_after([0.6] * held, level=FAINT) == (9, 20 + 10 + 10)


def test_soft_speech_well_over_the_background_is_no_silence() -> None:
    """A tail 20 dB over the background belongs to the word."""
    last, _ = ends_after([0.6] * 4, level=10 * FAINT)

    assert last == 13


def test_what_is_surely_speech_is_no_silence_however_soft() -> None:
    """A whispered end in noise counts when the activity is sure."""
    last, _ = ends_after([0.95] * 4, level=FAINT)

    assert last == 13


def test_without_background_before_it_only_the_activity_counts() -> None:
    """Two blocks are too few to know how loud the yard is."""
    last, _ = ends_after([0.6] * 4, level=FAINT, before=2)

    assert last == 13
