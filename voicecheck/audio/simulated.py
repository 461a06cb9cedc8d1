"""A simulated yard: a sound link without devices, on a clock of its own.

Time moves only as sound is played or read, so a whole walk runs as fast as
the computer can listen. What somebody says is laid into the noise at the
moment they begin, and reaches the program block by block like a microphone.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.ports import BLOCK, Sound
from voicecheck.audio.resample import resample
from voicecheck.clock import ManualClock

_BLOCK_S = BLOCK / RATE_HZ
_LEAK_DELAY_S = 0.04
"""From the program to the air and back, as devices have it."""


@dataclass(frozen=True, slots=True, eq=False)
class Spoken:
    """Something that will be said in the yard."""

    frames: Frames
    """Mono at 16 kHz, at the level at which it reaches the microphone."""
    begins_s: float


class SimulatedLink:
    """A microphone and a loudspeaker in a noisy yard that is only computed.

    Args:
        background: gives the next `n` samples of noise.
        pace: called after each step with the seconds that passed; by default
            nothing waits. `real_time` makes a walk last as long as in a yard.
        start: what time it is in the yard; None: a fixed morning.
        leak_db: level at which what is played comes back into the
            microphone, against its own; None: not at all, as on a good headset.
    """

    def __init__(
        self,
        background: Callable[[int], Frames],
        pace: Callable[[float], None] | None = None,
        start: datetime | None = None,
        leak_db: float | None = None,
    ) -> None:
        self.clock = ManualClock(start)
        self._background = background
        self._pace = pace or (lambda _: None)
        self._spoken: list[Spoken] = []
        self._heard_until_s = 0.0
        self._leak_db = leak_db
        self._leaking: Spoken | None = None
        self._plays_until_s = 0.0
        self.played_s = 0.0
        """Seconds of sound played so far."""

    def say(self, frames: Frames, after_s: float) -> None:
        """Let somebody say something `after_s` seconds from now."""
        self._spoken.append(Spoken(frames, self.clock.monotonic_s() + after_s))

    def play(self, sound: Sound) -> None:
        """Let the time of the sound pass; the operator wears a headset."""
        self._leak(sound)
        self.played_s += sound.seconds
        self._advance(sound.seconds)

    @property
    def playing(self) -> bool:
        """Whether a begun sound is still being played."""
        return self.clock.monotonic_s() < self._plays_until_s

    def begin(self, sound: Sound) -> None:
        """Begin to play; its time passes as the microphone is read."""
        self._leak(sound)
        self.played_s += sound.seconds
        self._plays_until_s = self.clock.monotonic_s() + sound.seconds

    def stop(self) -> None:
        """Cut short what is playing, and what of it comes back."""
        now_s = self.clock.monotonic_s()
        self.played_s -= max(0.0, self._plays_until_s - now_s)
        self._plays_until_s = min(self._plays_until_s, now_s)
        leak = self._leaking
        if leak is not None and leak in self._spoken:
            heard = max(0, round((now_s - leak.begins_s) * RATE_HZ))
            self._spoken.remove(leak)
            self._spoken.append(Spoken(leak.frames[:heard], leak.begins_s))

    def _leak(self, sound: Sound) -> None:
        if self._leak_db is None:
            return
        back = resample(sound.frames, sound.rate_hz, RATE_HZ)
        gain = np.float32(10 ** (self._leak_db / 20))
        begins_s = self.clock.monotonic_s() + _LEAK_DELAY_S
        self._leaking = Spoken(back * gain, begins_s)
        self._spoken.append(self._leaking)

    def read(self) -> Frames:
        """Return the next block: noise, and whatever is said in it."""
        begins_s = self._heard_until_s
        block = self._background(BLOCK).astype(np.float32).copy()
        for spoken in self._spoken:
            _lay(block, begins_s, spoken)
        self._heard_until_s += _BLOCK_S
        self._spoken = [
            s
            for s in self._spoken
            if s.begins_s + len(s.frames) / RATE_HZ > self._heard_until_s
        ]
        behind = self._heard_until_s - self.clock.monotonic_s()
        if behind > 0:
            self._advance(behind)
        return block

    def discard(self, keep_s: float = 0.0) -> None:
        """Forget what was recorded so far, except the last `keep_s` seconds."""
        now = self.clock.monotonic_s()
        self._heard_until_s = max(self._heard_until_s, now - keep_s)

    def reopen(self) -> bool:
        """A simulated link is never lost."""
        return True

    def close(self) -> None:
        """Nothing to give back."""

    def _advance(self, seconds: float) -> None:
        self.clock.advance(seconds)
        self._pace(seconds)


def real_time(seconds: float) -> None:
    """Wait as long as the step lasts."""
    time.sleep(seconds)


def _lay(block: Frames, begins_s: float, spoken: Spoken) -> None:
    """Add the part of something spoken that falls into a block."""
    offset = round((begins_s - spoken.begins_s) * RATE_HZ)
    first = max(0, -offset)
    source = spoken.frames[max(0, offset) : max(0, offset + len(block))]
    room = min(len(source), len(block) - first)
    if room > 0:
        block[first : first + room] += source[:room]
