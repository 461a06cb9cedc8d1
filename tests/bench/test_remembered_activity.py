"""End-pointing is computed once for several engines."""

from __future__ import annotations

import numpy as np

from voicecheck.audio.activity import Speech
from voicecheck.audio.frames import Frames
from voicecheck.bench.remembered_activity import RememberedActivity


class Counting:
    """Says how many blocks it heard since the reset."""

    def __init__(self) -> None:
        """Nothing yet."""
        self.asked = 0
        self._since = 0

    def probability(self, block: Frames) -> Speech:
        """Depends on all blocks before."""
        self.asked += 1
        self._since += 1
        return Speech(self._since + float(block[0]))

    def reset(self) -> None:
        """Forget."""
        self._since = 0


def block(value: float) -> Frames:
    """A block that is told from others by its value."""
    return np.full(512, value, np.float32)


def answers(activity: RememberedActivity | Counting, *values: float) -> list[Speech]:
    """Send blocks after a reset."""
    activity.reset()
    return [activity.probability(block(v)) for v in values]


def test_the_same_sound_is_not_computed_again() -> None:
    """The same answers, without asking."""
    inner = Counting()
    remembered = RememberedActivity(inner)

    first = answers(remembered, 0.1, 0.2, 0.3)

    assert answers(remembered, 0.1, 0.2, 0.3) == first
    assert inner.asked == 3


def test_sounds_that_part_are_answered_like_by_the_other() -> None:
    """A known beginning does not spoil what follows."""
    remembered = RememberedActivity(Counting())
    answers(remembered, 0.1, 0.2, 0.3)

    for sound in ((0.1, 0.2, 0.9, 0.4), (0.5, 0.2, 0.3), (0.1, 0.1), (0.1, 0.2)):
        assert answers(remembered, *sound) == answers(Counting(), *sound)


def test_forgetting() -> None:
    """After it everything is computed anew."""
    inner = Counting()
    remembered = RememberedActivity(inner)
    answers(remembered, 0.1)
    remembered.forget()

    answers(remembered, 0.1)

    assert inner.asked == 2
