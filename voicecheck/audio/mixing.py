"""Mix speech and noise at a stated ratio.

The level of speech counts only where somebody speaks, as ITU-T P.56 asks
(active speech level): a word between pauses is as loud as the word. P.56's own
method B follows an envelope; here its idea is kept and its machinery is not:
short frames count as active when they lie within a margin of the loudest
frame. Noise is measured over the whole clip. Both are unweighted over
0 to 8 kHz.
"""

from __future__ import annotations

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.level import rms_level_dbfs

__all__ = [
    "ACTIVE_MARGIN_DB",
    "active_level_db",
    "active_mask",
    "guard_peak",
    "mix_at_snr",
]

FRAME = RATE_HZ // 50
"""Gate frame: 20 ms."""

ACTIVE_MARGIN_DB = 40.0
"""A frame counts as active within this of the loudest frame (our choice).

Wide enough that the weak consonants of a word stay in; a clip whose own
background is less than this below its peaks counts as active throughout.
"""

PEAK_LIMIT = 0.98


def active_mask(frames: Frames, margin_db: float = ACTIVE_MARGIN_DB) -> np.ndarray:
    """Tell for each 20 ms frame whether it counts as speech.

    Returns:
        bool, shape (ceil(n / 320),); the last frame may be shorter. All false
        for digital silence.
    """
    data = _checked(frames)
    count = -(-data.size // FRAME)
    padded = np.zeros(count * FRAME)
    padded[: data.size] = data**2
    lengths = np.full(count, FRAME)
    lengths[-1] = data.size - (count - 1) * FRAME
    powers = padded.reshape(count, FRAME).sum(axis=1) / lengths
    loudest = powers.max()
    if loudest <= 0:
        return np.zeros(count, dtype=bool)
    mask: np.ndarray = powers >= loudest * 10 ** (-margin_db / 10)
    return mask


def active_level_db(frames: Frames, margin_db: float = ACTIVE_MARGIN_DB) -> float:
    """Return the RMS level of the active frames in dB re 1.0.

    Source:
        After the idea of ITU-T P.56 (active speech level); see the module's
        text for what differs.
    """
    mask = active_mask(frames, margin_db)
    if not mask.any():
        return float("-inf")
    data = _checked(frames)
    samples = np.repeat(mask, FRAME)[: data.size]
    return 10 * float(np.log10(np.mean(data[samples] ** 2)))


def mix_at_snr(speech: Frames, noise: Frames, snr_db: float) -> Frames:
    """Add noise to speech so that their levels differ by `snr_db`.

    Args:
        speech: clean speech, shape (n,); its level is left as it is.
        noise: at least n samples; the first n are used.
        snr_db: active level of the speech minus RMS level of the noise.

    Returns:
        float32, shape (n,), not limited: see `guard_peak`.

    Raises:
        ValueError: the noise is shorter than the speech, or either is silent,
            so that no ratio exists.
    """
    if noise.size < speech.size:
        raise ValueError(
            f"noise has {noise.size} samples, speech {speech.size}: "
            "make the noise at least as long as the speech"
        )
    used = noise[: speech.size]
    gain_db = active_level_db(speech) - snr_db - rms_level_dbfs(used)
    if not np.isfinite(gain_db):
        raise ValueError("speech or noise is silent: no ratio can be set")
    mixed = speech + np.float32(10 ** (gain_db / 20)) * used
    return np.asarray(mixed, dtype=np.float32)


def guard_peak(frames: Frames, limit: float = PEAK_LIMIT) -> Frames:
    """Turn the whole clip down if any peak passes the limit; never up.

    Scaling keeps the ratio of speech to noise, where clipping would not.
    """
    peak = float(np.max(np.abs(frames), initial=0.0))
    if peak <= limit:
        return frames
    return np.asarray(frames * np.float32(limit / peak), dtype=np.float32)


def _checked(frames: Frames) -> np.ndarray:
    if frames.ndim != 1 or frames.size == 0:
        raise ValueError("a clip is one-dimensional and not empty")
    return np.asarray(frames, dtype=np.float64)
