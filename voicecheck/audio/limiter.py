"""Keep peaks below full scale without clipping them off.

The gain falls before each peak and rises after it, so smoothly that no click is
heard, and only as far as that peak needs. It is a mild compressor too: what
lies between the peaks comes out louder when the whole is turned up into it.
"""

from __future__ import annotations

import numpy as np
from scipy.ndimage import minimum_filter1d

from voicecheck.audio.frames import Frames

__all__ = ["CEILING", "MOST_DB", "limit_peaks"]

CEILING = 0.98
"""Highest sample that comes out."""

MOST_DB = 6.0
"""Furthest that a peak is pulled down; beyond it speech begins to sound
squashed (common practice, no source)."""

LOOK_AHEAD_S = 0.005


def limit_peaks(
    frames: Frames, rate_hz: int, ceiling: float = CEILING, most_db: float = MOST_DB
) -> Frames:
    """Return the sound with no sample past the ceiling.

    Args:
        frames: mono, shape (n,), any level.
        rate_hz: samples a second.
        ceiling: highest magnitude that comes out.
        most_db: where peaks pass the ceiling by more than this, the whole sound
            is turned down first.

    Returns:
        float32, shape (n,). A sound below the ceiling comes back as it was.
    """
    peak = float(np.max(np.abs(frames), initial=0.0))
    if peak <= ceiling:
        return np.asarray(frames, dtype=np.float32)
    data = np.asarray(frames, dtype=np.float64)
    data *= min(1.0, ceiling * 10 ** (most_db / 20) / peak)
    wanted = np.minimum(1.0, ceiling / np.maximum(np.abs(data), 1e-12))
    # The least gain near each sample, averaged over half that span: the average
    # never lies above what the sample itself needs.
    half = max(1, round(LOOK_AHEAD_S * rate_hz))
    least = minimum_filter1d(wanted, 2 * half + 1, mode="nearest")
    window = np.hanning(2 * half + 3)[1:-1]
    padded = np.pad(least, half, mode="edge")
    gain = np.convolve(padded, window / window.sum(), mode="valid")
    return np.clip(data * gain, -ceiling, ceiling).astype(np.float32)
