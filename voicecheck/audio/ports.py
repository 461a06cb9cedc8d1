"""What the dialogue needs of sound: one link with a mouth, an ear and a clock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from voicecheck.audio.frames import RATE_HZ as FRAMES_RATE_HZ
from voicecheck.audio.frames import Frames
from voicecheck.clock import Clock

RATE_HZ = FRAMES_RATE_HZ
"""Rate of everything that is listened to."""
BLOCK = 512
"""Samples in one block: 32 ms, what the voice activity network takes."""


@dataclass(frozen=True, slots=True, eq=False)
class Sound:
    """A piece of sound to be played."""

    frames: Frames
    """Mono, float32 in [-1, 1]."""
    rate_hz: int

    @property
    def seconds(self) -> float:
        """How long it plays."""
        return len(self.frames) / self.rate_hz


class SoundLink(Protocol):
    """A microphone and a loudspeaker that share one clock.

    Real devices, a simulated yard and test doubles all look like this.
    """

    @property
    def clock(self) -> Clock:
        """The time by which this link plays and records."""
        ...

    def play(self, sound: Sound) -> None:
        """Play and return when the last sample is out.

        Raises:
            DeviceLost: the loudspeaker went away.
        """
        ...

    def read(self) -> Frames:
        """Return the next block of the microphone, shape (BLOCK,), at RATE_HZ.

        Waits until the block is complete. Sound that came in while `play` ran
        is kept until it is read or discarded.

        Raises:
            DeviceLost: the microphone went away, or gives nothing but zeros.
        """
        ...

    def discard(self, keep_s: float = 0.0) -> None:
        """Forget what was recorded so far, except the last `keep_s` seconds."""
        ...

    def reopen(self) -> bool:
        """Try to get lost devices back; True when both work again.

        Waits a moment by the link's clock before it returns False.
        """
        ...

    def close(self) -> None:
        """Give the devices back. Safe to call twice."""
        ...


class InterruptibleLink(SoundLink, Protocol):
    """A link that plays and listens at once: an answer may come over a prompt."""

    @property
    def playing(self) -> bool:
        """Whether a begun sound is still being played.

        Raises:
            DeviceLost: the loudspeaker went away meanwhile.
        """
        ...

    def begin(self, sound: Sound) -> None:
        """Begin to play and return at once.

        Raises:
            DeviceLost: the loudspeaker went away.
        """
        ...

    def stop(self) -> None:
        """Cut short what is playing. Does nothing when nothing is."""
        ...
