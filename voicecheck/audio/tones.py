"""Short tones that say where a turn stands, made by rule.

All their energy lies between 500 and 2000 Hz: ear defenders take away more
the higher a tone is, engines mask what is low, and hearing loss begins above
(common practice, no source). Around 1000 to 1700 Hz they stay over the masked
threshold under an ear defender in each noise of `voicecheck bench tones` when
they come from a headset; from a loudspeaker outside the defender they do not.
Direction and number tell them apart, not pitch: up, one short, down, three.
"""

from __future__ import annotations

from enum import Enum

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.audio.ports import Sound

__all__ = ["TONE_DBFS", "TONE_RATE_HZ", "Tone", "make_tone"]

TONE_RATE_HZ = 22_050
"""The rate of the spoken prompts, so that both can be joined."""
TONE_DBFS = -20.0
"""Usual level of a tone: RMS over the tone, re full scale."""
RAMP_S = 0.012
"""Raised-cosine rise and fall: long enough that nothing clicks."""


class Tone(Enum):
    """What a tone says."""

    LISTENING = "listening"
    """Rises: speak now."""
    TAKEN = "taken"
    """One, short: understood and kept."""
    NOT_UNDERSTOOD = "not understood"
    """Falls: heard something, understood nothing."""
    WARNING = "warning"
    """Three quick ones: something needs your eyes."""


_GLIDES = {
    Tone.LISTENING: ((1000.0, 1700.0, 0.12),),
    Tone.TAKEN: ((1500.0, 1500.0, 0.07),),
    Tone.NOT_UNDERSTOOD: ((1600.0, 950.0, 0.14),),
    Tone.WARNING: ((1500.0, 1500.0, 0.04), (0.0, 0.0, 0.01)) * 2
    + ((1500.0, 1500.0, 0.04),),
}
"""First and last frequency in Hz and seconds of each part; 0 Hz is silence."""


def make_tone(tone: Tone, level_dbfs: float = TONE_DBFS) -> Sound:
    """Return a tone, shorter than 150 ms.

    Args:
        tone: what it says.
        level_dbfs: RMS over the whole tone, at most -6: louder would clip.

    Raises:
        ValueError: the level is above -6 dBFS.
    """
    if level_dbfs > -6.0:
        raise ValueError(f"a tone at {level_dbfs:g} dBFS would clip: give -6 or less")
    shape = np.concatenate([_part(*glide) for glide in _GLIDES[tone]])
    rms = float(np.sqrt(np.mean(shape**2)))
    frames: Frames = (shape * (10 ** (level_dbfs / 20) / rms)).astype(np.float32)
    return Sound(frames=frames, rate_hz=TONE_RATE_HZ)


def _part(first_hz: float, last_hz: float, seconds: float) -> NDArray[np.float64]:
    """One glide with smooth ends; its frequency moves by equal ratios."""
    count = round(seconds * TONE_RATE_HZ)
    if first_hz == 0.0:
        return np.zeros(count)
    frequency_hz = np.geomspace(first_hz, last_hz, count)
    phase = 2 * np.pi * np.cumsum(frequency_hz) / TONE_RATE_HZ
    edge = round(RAMP_S * TONE_RATE_HZ)
    rise = 0.5 - 0.5 * np.cos(np.pi * np.arange(edge) / edge)
    envelope = np.ones(count)
    envelope[:edge] = rise
    envelope[-edge:] = rise[::-1]
    return np.sin(phase) * envelope
