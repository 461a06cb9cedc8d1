"""Play louder while it is too loud, but never past the safe level."""

from __future__ import annotations

import numpy as np

from voicecheck.audio.altered_link import AlteredLink
from voicecheck.audio.limiter import limit_peaks
from voicecheck.audio.ports import InterruptibleLink, Sound
from voicecheck.hearing.measure import Calibration, prompt_octaves

__all__ = ["LOUDER_DB", "LouderLink"]

LOUDER_DB = 4.0
"""About as much as a listener notices at once (our choice)."""


class LouderLink(AlteredLink):
    """A sound link whose sounds can be turned up.

    Args:
        link: really plays and listens.
        highest_dbfs: A-weighted level of the sound check that keeps to the safe
            level at the ear; None: not known, so nothing is turned up.
    """

    def __init__(self, link: InterruptibleLink, highest_dbfs: float | None) -> None:
        super().__init__(link)
        self._highest_dbfs = highest_dbfs
        self.loud = False

    def altered(self, sound: Sound) -> Sound:
        """Return the sound as loud as it is to be now."""
        room_db = self._room_db(sound)
        if room_db <= 0:
            return sound
        frames = sound.frames * np.float32(10 ** (room_db / 20))
        return Sound(limit_peaks(frames, sound.rate_hz), sound.rate_hz)

    def _room_db(self, sound: Sound) -> float:
        if not self.loud or self._highest_dbfs is None or not np.any(sound.frames):
            return 0.0
        octaves = prompt_octaves(sound.frames, sound.rate_hz, Calibration(0.0))
        return min(LOUDER_DB, self._highest_dbfs - octaves.a_level_dba)
