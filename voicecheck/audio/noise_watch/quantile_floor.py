"""The noise below the speech, followed band by band.

Source:
    Stahl, Fischer and Bippus, "Quantile based noise estimation for spectral
    subtraction and Wiener filtering", ICASSP 2000: speech fills no frequency
    band all the time, so the median of the power over a short while is the
    noise. Theirs takes the bins of a spectrum; here octave bands do.
"""

from __future__ import annotations

from collections import deque

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.activity import BLOCK_S
from voicecheck.audio.noise_watch.bands import BAND_COUNT, BlockPower

__all__ = ["WINDOW_S", "QuantileFloor"]

WINDOW_S = 3.0
"""How far back the median looks: some words and their pauses (our choice)."""
_LEAST_S = 0.5
"""Less than this says nothing yet."""
_BINS_A_BAND = np.array([3, 3, 6, 11, 23, 45, 91, 74]) * 2 / 1.5
"""Degrees of freedom of a band's power: two a bin of a block of 512, less
what the Hann window makes alike."""
_MEDIAN_OVER_MEAN = (1 - 2 / (9 * _BINS_A_BAND)) ** 3
"""Of a chi-squared power (Wilson and Hilferty 1931), so that the median of
steady noise gives its mean."""


class QuantileFloor:
    """Keep the power of the last blocks and take the median of each band."""

    def __init__(self, window_s: float = WINDOW_S) -> None:
        self._bands: deque[NDArray[np.float64]] = deque(
            maxlen=round(window_s / BLOCK_S)
        )

    @property
    def known(self) -> bool:
        """Whether enough was heard to say anything."""
        return len(self._bands) * BLOCK_S >= _LEAST_S

    def add(self, power: BlockPower) -> None:
        """Take in one block, speech or not."""
        self._bands.append(power.bands)

    def bands(self) -> NDArray[np.float64]:
        """Return the noise of each octave as mean square, shape (BAND_COUNT,)."""
        if not self._bands:
            return np.zeros(BAND_COUNT)
        median = np.median(np.stack(self._bands), axis=0)
        return np.asarray(median / _MEDIAN_OVER_MEAN)

    def swing_db(self) -> float:
        """Return by how much the loud moments pass the usual ones.

        90th percentile over the median of the blocks: bangs and clatter give
        ten decibels and more, engines and wind a few.
        """
        if not self.known:
            return 0.0
        total = np.stack(self._bands).sum(axis=1) + 1e-12
        return float(10 * np.log10(np.quantile(total, 0.9) / np.median(total)))
