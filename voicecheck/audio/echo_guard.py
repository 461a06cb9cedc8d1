"""Tell the prompt that comes back into the microphone from somebody's words.

What comes back is the prompt itself, later and quieter. Its sound is compared
with what was played at every delay that devices have; a likeness that words of
another person never reach means that the prompt was heard, not an answer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import signal as dsp

from voicecheck.audio.frames import Frames

__all__ = ["ECHO_LIKENESS", "echo_likeness"]

ECHO_LIKENESS = 0.3
"""From here on it is the prompt. Measured with synthetic voices: 60 other words
0.25 at most, 0.11 in the median; a prompt that comes back directly, as from an
earpiece, 0.99; with a little room 0.42 at least. With much room 0.23: on a
loudspeaker this guard is not enough."""
_TINY = 1e-9


def echo_likeness(heard: Frames, played: Frames) -> float:
    """Return how far something heard is what was played, 0 … 1.

    Args:
        heard: mono at 16 kHz, shape (n,).
        played: the same, shape (m,); all of it, from its beginning.

    Returns:
        The largest normalised cross-correlation over all delays, of both
        signals with their spectra made flatter (pre-emphasis), so that a voice
        of the same pitch does not count as likeness.
    """
    if len(heard) == 0 or len(played) == 0:
        return 0.0
    ours, theirs = _flatter(played), _flatter(heard)
    padded = np.concatenate([np.zeros(len(theirs)), ours, np.zeros(len(theirs))])
    products = dsp.correlate(padded, theirs, mode="valid", method="fft")
    power = np.concatenate([[0.0], np.cumsum(padded**2)])
    energies = power[len(theirs) :] - power[: -len(theirs)]
    own = float(np.sum(theirs**2))
    # stretches where next to nothing was played are like anything
    floor = float(np.max(energies)) * 1e-2 + _TINY
    scale = np.sqrt(np.maximum(energies, floor) * max(own, _TINY))
    return float(np.max(np.abs(products[: len(energies)]) / scale))


def _flatter(frames: Frames) -> NDArray[np.float64]:
    data = np.asarray(frames, dtype=np.float64)
    return np.diff(data, prepend=0.0)
