"""Denoise sound block by block, 31 ms late.

`suppression` gives the exact sound of an utterance; this gives a stream that never
ends, for whoever only has to know whether somebody speaks.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.rnnoise import FRAME, FULL_SCALE, RNNOISE_HZ, Denoiser, pcm_of

__all__ = ["DenoisedStream", "low_pass"]

_TIMES = RNNOISE_HZ // RATE_HZ
_TAPS = 73
"""A short filter, since a long one is late: 0.75 ms each way."""
_PASS_HZ = 7_400


def low_pass(taps: int, pass_share: float) -> NDArray[np.float64]:
    """Return a windowed-sinc filter, Hamming, gain 1 at zero frequency.

    SciPy's `firwin` gives the same; importing it takes 70 MB of memory.

    Args:
        taps: length; odd.
        pass_share: cut-off over the sampling rate, 0 … 0.5.
    """
    at = np.arange(taps) - taps // 2
    shape = np.sinc(2 * pass_share * at) * np.hamming(taps)
    return np.asarray(shape / shape.sum())


class DenoisedStream:
    """Blocks in, denoised blocks of the same length out, 31 ms late.

    Raises:
        RuntimeError: RNNoise has no binary for this computer.
    """

    def __init__(self) -> None:
        self._low = low_pass(_TAPS, _PASS_HZ / RNNOISE_HZ).astype(np.float32)
        self.reset()

    def reset(self) -> None:
        """Begin a new sound."""
        self._denoiser = Denoiser()
        self._up = np.zeros(_TAPS - 1, np.float32)
        self._down = np.zeros(_TAPS - 1, np.float32)
        self._waiting = np.zeros(0, np.float32)
        # so many samples are owed that a block is whole whenever one came in
        self._ready = np.zeros(FRAME - _TIMES, np.float32)

    def push(self, block: Frames) -> Frames:
        """Return the next denoised block.

        Args:
            block: mono at 16 kHz, shape (n,).

        Returns:
            Shape (n,).
        """
        wide = np.zeros(len(block) * _TIMES, np.float32)
        wide[::_TIMES] = block * _TIMES
        wide, self._up = self._filtered(wide, self._up)
        wide = np.concatenate([self._waiting, wide])
        whole = len(wide) // FRAME * FRAME
        self._waiting = wide[whole:]
        clean = self._denoiser.process_all(pcm_of(wide[:whole]))
        ready = np.concatenate([self._ready, *clean]).astype(np.float32)
        taken, self._ready = np.split(ready, [len(block) * _TIMES])
        narrow, self._down = self._filtered(taken / FULL_SCALE, self._down)
        return np.asarray(narrow[::_TIMES], np.float32)

    def _filtered(self, sound: Frames, before: Frames) -> tuple[Frames, Frames]:
        """Return the sound without what 16 kHz cannot carry, and what comes before."""
        sound = np.concatenate([before, sound])
        return np.convolve(sound, self._low, "valid"), sound[len(sound) - _TAPS + 1 :]
