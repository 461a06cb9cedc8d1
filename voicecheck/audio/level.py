"""How loud a block or a short recording is, as numbers and in plain words."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames

__all__ = [
    "Level",
    "Loudness",
    "clipped_share",
    "judge_level",
    "peak_level_dbfs",
    "rms_level_dbfs",
]

SILENT_DBFS = -70.0
"""A recording whose loudest part lies below this holds nothing (common
practice, no source): below the noise of ordinary microphones."""
QUIET_DBFS = -40.0
"""Speech whose loudest part lies below this is too quiet (common practice, no
source): headset speech is usually 15 to 25 dB above it."""
CLIP_AMPLITUDE = 0.999
"""A sample at or above this counts as clipped."""
CLIP_SHARE = 0.001
"""More clipped samples than one in a thousand are heard as distortion (common
practice, no source)."""
LOUD_PART_S = 0.1
"""The loudest part: the loudest stretch of this length, about one vowel."""


class Loudness(Enum):
    """What a person should be told about a level."""

    SILENT = "silent"
    TOO_QUIET = "too quiet"
    GOOD = "good"
    CLIPPING = "clipping"


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """What was measured on one recording."""

    loudness: Loudness
    rms_dbfs: float
    """Over the whole recording; silence gives -inf."""
    loudest_dbfs: float
    """Over the loudest tenth of a second."""
    peak_dbfs: float
    clipped_share: float
    """Part of the samples at full scale, 0 … 1."""
    only_zeros: bool
    """True when every sample is exactly zero: no microphone does that by itself."""


def rms_level_dbfs(frames: Frames) -> float:
    """Return the level of one block against digital full scale.

    Args:
        frames: mono samples, shape (n,), n >= 1, float32 in [-1, 1].

    Returns:
        dB relative to an RMS of 1.0: a full-scale square wave gives 0.0,
        a full-scale sine -3.01, silence -inf.

    Raises:
        ValueError: the block is empty or not one-dimensional.

    Source:
        Definition of root mean square; the reference is ours (RMS = 1.0).
    """
    data = _checked(frames)
    return _power_db(float(np.mean(data**2)))


def peak_level_dbfs(frames: Frames) -> float:
    """Return the largest magnitude in dB relative to 1.0; silence gives -inf.

    Raises:
        ValueError: the block is empty or not one-dimensional.
    """
    peak = float(np.max(np.abs(_checked(frames))))
    return _power_db(peak**2)


def clipped_share(frames: Frames) -> float:
    """Return the part of the samples (0 … 1) that lie at full scale.

    Raises:
        ValueError: the block is empty or not one-dimensional.
    """
    return float(np.mean(np.abs(_checked(frames)) >= CLIP_AMPLITUDE))


def judge_level(frames: Frames) -> Level:
    """Judge a short recording in which somebody was asked to speak.

    Args:
        frames: mono samples at 16 kHz, shape (n,), n >= 1.

    Returns:
        Clipping is judged first, since a clipped recording is also loud.

    Raises:
        ValueError: the recording is empty or not one-dimensional.
    """
    loudest_dbfs = _loudest_dbfs(frames)
    share = clipped_share(frames)
    if share > CLIP_SHARE:
        loudness = Loudness.CLIPPING
    elif loudest_dbfs < SILENT_DBFS:
        loudness = Loudness.SILENT
    elif loudest_dbfs < QUIET_DBFS:
        loudness = Loudness.TOO_QUIET
    else:
        loudness = Loudness.GOOD
    return Level(
        loudness=loudness,
        rms_dbfs=rms_level_dbfs(frames),
        loudest_dbfs=loudest_dbfs,
        peak_dbfs=peak_level_dbfs(frames),
        clipped_share=share,
        only_zeros=not frames.any(),
    )


def _loudest_dbfs(frames: Frames) -> float:
    part = min(frames.size, round(LOUD_PART_S * RATE_HZ))
    total = np.concatenate([[0.0], np.cumsum(_checked(frames) ** 2)])
    energies = total[part:] - total[:-part]
    return _power_db(float(energies.max()) / part)


def _power_db(power: float) -> float:
    return 10 * float(np.log10(power)) if power > 0 else float("-inf")


def _checked(frames: Frames) -> np.ndarray:
    if frames.ndim != 1 or frames.size == 0:
        raise ValueError("a block is one-dimensional and not empty")
    return np.asarray(frames, dtype=np.float64)
