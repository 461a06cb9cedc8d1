"""Power of one block in octave bands, and A-weighted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.hearing.spectrum import (
    OCTAVE_HZ,
    a_weighting_db,
    exact_midband_hz,
)

__all__ = ["BAND_COUNT", "BlockPower", "block_power"]

Powers = NDArray[np.float64]

BAND_COUNT = len(OCTAVE_HZ)
"""Octaves from 63 Hz to 8 kHz; the lowest takes in what lies below it, the
highest ends at 8 kHz, half the rate."""


@dataclass(frozen=True, slots=True, eq=False)
class BlockPower:
    """Mean square of one block, re 1.0."""

    bands: Powers
    """Of each octave, shape (BAND_COUNT,)."""
    a_weighted: float

    @property
    def total(self) -> float:
        """Unweighted, 0 to 8 kHz."""
        return float(self.bands.sum())


def block_power(block: Frames) -> BlockPower:
    """Measure one block.

    Args:
        block: mono at 16 kHz, shape (n,), n >= 64.

    Source:
        Hann-windowed periodogram, scaled to the mean square by Parseval's
        theorem; weighting A of IEC 61672-1:2013, bin by bin.
    """
    window, shares, weights = _tables(len(block))
    power = np.abs(np.fft.rfft(block * window)) ** 2
    power[1:-1] *= 2.0
    power /= len(block) * float(np.sum(window**2))
    return BlockPower(bands=shares @ power, a_weighted=float(weights @ power))


@cache
def _tables(count: int) -> tuple[Powers, Powers, Powers]:
    """Window, shape (n,); bins of each band, (BAND_COUNT, m); A weights, (m,)."""
    frequency_hz = np.fft.rfftfreq(count, 1 / RATE_HZ)
    edges_hz = [exact_midband_hz(hz) * 10**0.15 for hz in OCTAVE_HZ[:-1]]
    band = np.searchsorted(edges_hz, frequency_hz)
    shares = np.asarray(
        band[np.newaxis, :] == np.arange(BAND_COUNT)[:, np.newaxis], dtype=np.float64
    )
    weights = np.zeros(len(frequency_hz))  # the constant part is no sound
    weights[1:] = 10 ** (a_weighting_db(frequency_hz[1:]) / 10)
    shares[:, 0] = 0.0
    return np.hanning(count + 1)[:-1], shares, weights
