"""How prompts are played where no sound check was saved.

The level is that of the voice as it is spoken, for nobody knows how loud the
headset is. Within that level the treble is raised, where engines leave room and
ear defenders take most, and peaks are held back a little. `voicecheck bench
prompts` shows what each of the two gains.
"""

from __future__ import annotations

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.audio.limiter import CEILING, limit_peaks
from voicecheck.audio.ports import Sound
from voicecheck.hearing.equaliser import apply_band_gains
from voicecheck.hearing.measure import Calibration, prompt_octaves

__all__ = ["STANDARD_DRIVE_DB", "STANDARD_EQUALISER_DB", "shape_by_standard"]

STANDARD_EQUALISER_DB = (3.0, -3.0, -1.0, 1.0, 6.0, 11.0)
"""250 Hz to 8 kHz: what the speech intelligibility index asks for on average over
our prompts beside an idling diesel, at an unchanged A-weighted level."""

STANDARD_DRIVE_DB = 3.0
"""How far peaks are driven into the limiter: light compression."""


def shape_by_standard(sound: Sound) -> Sound:
    """Return a prompt or a tone, clearer in noise and not louder.

    The A-weighted level while it sounds is the one that it had, or less where
    its peaks would pass full scale. Silence comes back as it was.
    """
    if not np.any(sound.frames):
        return sound
    shaped = apply_band_gains(sound.frames, sound.rate_hz, STANDARD_EQUALISER_DB)
    driven = CEILING * 10 ** (STANDARD_DRIVE_DB / 20) / np.max(np.abs(shaped))
    held = limit_peaks(
        (shaped * driven).astype(np.float32), sound.rate_hz, most_db=STANDARD_DRIVE_DB
    )
    change_db = _a_level_dbfs(sound.frames, sound) - _a_level_dbfs(held, sound)
    levelled = held * np.float32(10 ** (change_db / 20))
    return Sound(frames=limit_peaks(levelled, sound.rate_hz), rate_hz=sound.rate_hz)


def _a_level_dbfs(frames: Frames, sound: Sound) -> float:
    return prompt_octaves(frames, sound.rate_hz, Calibration(0.0)).a_level_dba
