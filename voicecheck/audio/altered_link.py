"""A sound link that changes what is played and leaves the rest to the link below."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import cast

from voicecheck.audio.frames import Frames
from voicecheck.audio.ports import InterruptibleLink, Sound, SoundLink
from voicecheck.clock import Clock

__all__ = ["AlteredLink"]


class AlteredLink(ABC):
    """Play sounds in another form through a link.

    Args:
        link: really plays and listens. Where it cannot play and listen at once,
            `playing`, `begin` and `stop` must not be used.
    """

    def __init__(self, link: SoundLink) -> None:
        self._link = link

    @abstractmethod
    def altered(self, sound: Sound) -> Sound:
        """Return the sound as it is to be played."""

    @property
    def clock(self) -> Clock:
        """The time by which the link plays and records."""
        return self._link.clock

    def play(self, sound: Sound) -> None:
        """Play and return when the last sample is out.

        Raises:
            DeviceLost: the loudspeaker went away.
        """
        self._link.play(self.altered(sound))

    @property
    def playing(self) -> bool:
        """Whether a begun sound is still being played."""
        return self._interruptible.playing

    def begin(self, sound: Sound) -> None:
        """Begin to play and return at once.

        Raises:
            DeviceLost: the loudspeaker went away.
        """
        self._interruptible.begin(self.altered(sound))

    def stop(self) -> None:
        """Cut short what is playing."""
        self._interruptible.stop()

    @property
    def _interruptible(self) -> InterruptibleLink:
        return cast(InterruptibleLink, self._link)

    def read(self) -> Frames:
        """Return the next block of the microphone, as it is."""
        return self._link.read()

    def discard(self, keep_s: float = 0.0) -> None:
        """Forget what was recorded so far, except the last `keep_s` seconds."""
        self._link.discard(keep_s)

    def reopen(self) -> bool:
        """Try to get lost devices back; True when both work again."""
        return self._link.reopen()

    def close(self) -> None:
        """Give the devices back. Safe to call twice."""
        self._link.close()
