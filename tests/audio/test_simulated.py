"""The simulated yard."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.audio.frames import Frames
from voicecheck.audio.ports import BLOCK, Sound
from voicecheck.audio.simulated import SimulatedLink


def silence(samples: int) -> Frames:
    """No noise at all."""
    return np.zeros(samples, np.float32)


@given(st.integers(1, 5_000), st.floats(0.0, 0.5))
def test_what_is_said_arrives_whole(length: int, after_s: float) -> None:
    """Every sample said comes out once, in order, at its time."""
    link = SimulatedLink(silence)
    said = np.arange(1, length + 1, dtype=np.float32) / length
    link.say(said, after_s)

    heard = np.concatenate([link.read() for _ in range(length // BLOCK + 20)])

    begins = int(np.flatnonzero(heard)[0])
    assert abs(begins - round(after_s * 16_000)) <= 1
    np.testing.assert_array_equal(heard[begins : begins + length], said)
    assert not heard[begins + length :].any()


def test_time_moves_as_sound_is_played_and_read() -> None:
    """A prompt of one second and a block take 1.032 seconds."""
    link = SimulatedLink(silence)

    link.play(Sound(np.zeros(22_050, np.float32), 22_050))
    link.discard()
    link.read()

    assert abs(link.clock.monotonic_s() - 1.032) < 1e-6


def test_sound_from_before_is_read_first_and_takes_no_time() -> None:
    """What came in during a prompt is there at once, unless it is discarded."""
    link = SimulatedLink(silence)
    link.say(np.ones(BLOCK, np.float32), 0.0)
    link.play(Sound(np.zeros(22_050, np.float32), 22_050))

    block = link.read()

    assert block.all()
    assert link.clock.monotonic_s() == 1.0


def test_discard_keeps_the_last_moments() -> None:
    """Somebody who speaks just before the tone ends is still heard."""
    link = SimulatedLink(silence)
    link.say(np.ones(3_200, np.float32), 0.8)
    link.play(Sound(np.zeros(22_050, np.float32), 22_050))
    link.discard(keep_s=0.2)

    heard = np.concatenate([link.read() for _ in range(7)])

    assert heard[:3_200].all()


def test_the_pace_is_told_every_step() -> None:
    """A real-time walk waits as long as its sounds last."""
    waited: list[float] = []
    link = SimulatedLink(silence, waited.append)

    link.play(Sound(np.zeros(8_000, np.float32), 16_000))
    link.discard()
    link.read()

    assert abs(sum(waited) - 0.532) < 1e-6
