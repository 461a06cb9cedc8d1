"""Change the sampling rate, at once or block by block, with soxr.

Both ways give the same samples: where a stream is cut makes no difference.
"""

from __future__ import annotations

import numpy as np
import soxr

from voicecheck.audio.frames import Frames

__all__ = ["StreamResampler", "resample"]

QUALITY = "HQ"
"""soxr's usual quality (about 20 bits); a stream lags about 40 ms at 48 kHz."""


def resample(frames: Frames, from_hz: float, to_hz: float) -> Frames:
    """Return the same sound at another rate.

    Args:
        frames: mono samples, shape (n,); n may be 0.
        from_hz: rate of the samples, above 0.
        to_hz: wanted rate, above 0.

    Returns:
        float32, shape (m,), m being n * to_hz / from_hz to the nearest sample
        or so. The same array when the rates are equal. Peaks may grow a little
        past those of the samples given, as band-limiting does.

    Raises:
        ValueError: a rate is not above 0.
    """
    _check_rates(from_hz, to_hz)
    if from_hz == to_hz or frames.size == 0:
        return np.asarray(frames, dtype=np.float32)
    samples = np.asarray(frames, dtype=np.float32)
    made = soxr.resample(samples, from_hz, to_hz, quality=QUALITY)
    return np.asarray(made, dtype=np.float32)


class StreamResampler:
    """Resample a sound that comes in blocks of any size."""

    def __init__(self, from_hz: float, to_hz: float) -> None:
        _check_rates(from_hz, to_hz)
        self._equal = from_hz == to_hz
        self._stream = soxr.ResampleStream(
            from_hz, to_hz, 1, dtype="float32", quality=QUALITY
        )

    def push(self, block: Frames) -> Frames:
        """Take the next block, shape (n,); return what is ready, shape (m,)."""
        return self._pass(block, last=False)

    def finish(self) -> Frames:
        """Return what was still held back. Nothing may be pushed afterwards."""
        return self._pass(np.zeros(0, dtype=np.float32), last=True)

    def _pass(self, block: Frames, *, last: bool) -> Frames:
        samples = np.ascontiguousarray(block, dtype=np.float32)
        if self._equal:
            return samples
        made = self._stream.resample_chunk(samples, last=last)
        return np.asarray(made, dtype=np.float32)


def _check_rates(from_hz: float, to_hz: float) -> None:
    if from_hz <= 0 or to_hz <= 0:
        raise ValueError(f"rates are above 0 Hz, not {from_hz:g} and {to_hz:g}")
