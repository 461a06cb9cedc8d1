"""Apply a prompt setting to the sound itself."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import signal as dsp

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.measure import Calibration, Samples, prompt_octaves
from voicecheck.hearing.prompt_level import PromptSetting
from voicecheck.hearing.sii_tables import OCTAVE
from voicecheck.hearing.spectrum import exact_midband_hz

__all__ = ["apply_band_gains", "apply_setting"]

FILTER_S = 0.064
"""Length of the filter: resolves the lowest octave that is set."""

_GRID_POINTS = 512


def apply_band_gains(
    samples: Samples, rate_hz: int, band_gains_db: Sequence[float]
) -> NDArray[np.float64]:
    """Return the prompt with each octave changed by its gain.

    A linear-phase filter, delay removed; between midbands the gain in dB runs
    straight over the logarithm of frequency, outside them it stays level. So
    neighbouring bands that differ much pull each other a little: measure the
    result again where it matters.

    Args:
        samples: mono, shape (n,).
        rate_hz: samples a second.
        band_gains_db: 250 Hz to 8 kHz, six values.

    Returns:
        shape (n,), not limited: the caller guards against clipping.

    Raises:
        LevelError: not six gains, or no samples.
    """
    if len(band_gains_db) != len(OCTAVE.midband_hz):
        raise LevelError(
            "band gains", f"{len(band_gains_db)} values", "six, 250 Hz to 8 kHz"
        )
    data = np.asarray(samples, dtype=np.float64)
    if data.ndim != 1 or data.size == 0:
        raise LevelError("prompt", f"shape {data.shape}", "one channel of samples")
    midband = np.log([exact_midband_hz(hz) for hz in OCTAVE.midband_hz])
    grid_hz = np.linspace(0, rate_hz / 2, _GRID_POINTS)
    gains_db = np.interp(np.log(np.maximum(grid_hz, 1.0)), midband, band_gains_db)
    taps = 2 * int(rate_hz * FILTER_S / 2) + 1
    response = dsp.firwin2(taps, grid_hz, 10 ** (gains_db / 20), fs=rate_hz)
    half = taps // 2
    changed = dsp.fftconvolve(data, response)
    return np.asarray(changed[half : half + data.size], dtype=np.float64)


def apply_setting(
    samples: Samples, rate_hz: int, setting: PromptSetting
) -> NDArray[np.float64]:
    """Return the prompt as the setting asks, and no louder than it planned.

    The filter's slopes may leave a band a little above its plan; the whole is
    then turned down until its A-weighted level is the planned one, so that the
    safe level holds for the sound and not only on paper.

    Args:
        samples: the prompt that was measured for the setting, shape (n,).
        rate_hz: samples a second.
        setting: from `voicecheck.hearing.prompt_level.level_prompt`.

    Returns:
        shape (n,), not limited: the caller guards against clipping.

    Raises:
        LevelError: no samples, or silence.
    """
    any_scale = Calibration(0.0)
    gains = setting.band_gains_db
    before = prompt_octaves(samples, rate_hz, any_scale)
    below = len(before.level_db) - len(gains)
    planned = before.shifted([gains[0]] * below + list(gains)).a_level_dba
    changed = apply_band_gains(samples, rate_hz, gains)
    excess_db = prompt_octaves(changed, rate_hz, any_scale).a_level_dba - planned
    return np.asarray(changed * 10 ** (-max(0.0, excess_db) / 20), dtype=np.float64)
