"""Play louder while it is too loud, but never past the safe level."""

from __future__ import annotations

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.audio.limiter import limit_peaks
from voicecheck.audio.ports import InterruptibleLink, Sound
from voicecheck.clock import Clock
from voicecheck.hearing.measure import Calibration, prompt_octaves

__all__ = ["LOUDER_DB", "LouderLink"]

LOUDER_DB = 4.0
"""About as much as a listener notices at once (our choice)."""


class LouderLink:
    """A sound link whose sounds can be turned up.

    Args:
        link: really plays and listens.
        highest_dbfs: A-weighted level of the sound check that keeps to the safe
            level at the ear; None: not known, so nothing is turned up.
    """

    def __init__(self, link: InterruptibleLink, highest_dbfs: float | None) -> None:
        self._link = link
        self._highest_dbfs = highest_dbfs
        self.loud = False

    @property
    def clock(self) -> Clock:
        """The time by which the link plays and records."""
        return self._link.clock

    def play(self, sound: Sound) -> None:
        """Play and return when the last sample is out.

        Raises:
            DeviceLost: the loudspeaker went away.
        """
        self._link.play(self.turned_up(sound))

    @property
    def playing(self) -> bool:
        """Whether a begun sound is still being played."""
        return self._link.playing

    def begin(self, sound: Sound) -> None:
        """Begin to play and return at once.

        Raises:
            DeviceLost: the loudspeaker went away.
        """
        self._link.begin(self.turned_up(sound))

    def stop(self) -> None:
        """Cut short what is playing."""
        self._link.stop()

    def turned_up(self, sound: Sound) -> Sound:
        """Return the sound as loud as it is to be now."""
        room_db = self._room_db(sound)
        if room_db <= 0:
            return sound
        frames = sound.frames * np.float32(10 ** (room_db / 20))
        return Sound(limit_peaks(frames, sound.rate_hz), sound.rate_hz)

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

    def _room_db(self, sound: Sound) -> float:
        if not self.loud or self._highest_dbfs is None or not np.any(sound.frames):
            return 0.0
        octaves = prompt_octaves(sound.frames, sound.rate_hz, Calibration(0.0))
        return min(LOUDER_DB, self._highest_dbfs - octaves.a_level_dba)
