"""Octave-band levels of a recorded or synthesised sound.

A microphone gives numbers, not decibels: a `Calibration` says which sound
pressure level a signal of RMS 1.0 stands for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy import signal as dsp

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.spectrum import OCTAVE_HZ, OctaveLevels, exact_midband_hz

__all__ = [
    "Calibration",
    "Samples",
    "band_filter",
    "band_levels_db",
    "calibrate_from_meter",
    "calibrate_from_tone",
    "noise_octaves",
    "prompt_octaves",
]

Samples: TypeAlias = NDArray[np.floating]
"""Mono samples, shape (n,)."""

FILTER_ORDER = 6
ACTIVE_MARGIN_DB = 40.0
"""A 20 ms frame counts as speech within this of the loudest (our choice)."""

CALIBRATOR_DB = 94.0
"""Level of the usual sound calibrator, 1 Pa (IEC 60942)."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """What a digital level stands for."""

    full_scale_db: float
    """Sound pressure level of a signal whose RMS is 1.0."""


def band_levels_db(
    samples: Samples,
    rate_hz: int,
    midband_hz: tuple[float, ...],
    *,
    bands_per_octave: int = 1,
    active_only: bool = False,
    partial_top: bool = False,
) -> tuple[float, ...]:
    """Return the RMS level of each band in dB re 1.0; silence gives -inf.

    Args:
        samples: mono, shape (n,).
        rate_hz: samples a second.
        midband_hz: nominal midband frequencies.
        bands_per_octave: 1 for octaves, 3 for thirds.
        active_only: count only frames in which somebody speaks.
        partial_top: let a band that reaches past half the rate end there. Right
            for a sound that is played (there is nothing above), wrong for
            a measured noise.

    Raises:
        LevelError: no samples, samples that are not numbers, or a band that
            the sampling rate cannot hold.

    Source:
        Band edges of IEC 61260-1:2014; sixth-order Butterworth filters.
    """
    data = _checked(samples)
    mask = _active(data, rate_hz) if active_only else np.ones(data.size, dtype=bool)
    levels = []
    for hz in midband_hz:
        power = 0.0
        sections = band_filter(
            hz, rate_hz, bands_per_octave=bands_per_octave, partial_top=partial_top
        )
        if sections is not None:
            filtered = np.asarray(dsp.sosfilt(sections, data))
            power = float(np.sum(filtered[mask] ** 2)) / max(1, int(mask.sum()))
        levels.append(10 * math.log10(power) if power > 0 else -math.inf)
    return tuple(levels)


def noise_octaves(
    samples: Samples, rate_hz: int, calibration: Calibration
) -> OctaveLevels:
    """Return the octave levels of a measured noise, 63 Hz to 8 kHz.

    Raises:
        LevelError: as `band_levels_db`; the 8 kHz octave needs 24 kHz or more.
    """
    levels = band_levels_db(samples, rate_hz, OCTAVE_HZ)
    return OctaveLevels.of(levels).shifted(calibration.full_scale_db)


def prompt_octaves(
    samples: Samples, rate_hz: int, calibration: Calibration
) -> OctaveLevels:
    """Return the octave levels of a spoken prompt while it is speaking.

    Pauses are left out. What lies above half the sampling rate does not exist.

    Raises:
        LevelError: as `band_levels_db`, or the prompt is silent.
    """
    levels = band_levels_db(
        samples, rate_hz, OCTAVE_HZ, active_only=True, partial_top=True
    )
    if all(math.isinf(level) for level in levels):
        raise LevelError("prompt", "silence", "a sound with speech in it")
    return OctaveLevels.of(levels).shifted(calibration.full_scale_db)


def calibrate_from_tone(
    samples: Samples, level_db: float = CALIBRATOR_DB
) -> Calibration:
    """Calibrate by a recording of a sound calibrator on the microphone.

    Raises:
        LevelError: the recording is silent or empty.
    """
    power = float(np.mean(_checked(samples) ** 2))
    if power == 0:
        raise LevelError("calibrator recording", "silence", "its steady tone")
    return Calibration(level_db - 10 * math.log10(power))


def calibrate_from_meter(
    samples: Samples, rate_hz: int, meter_dba: float
) -> Calibration:
    """Calibrate by a noise that a sound level meter read at the same time.

    Raises:
        LevelError: as `noise_octaves`, or the recording is silent.
    """
    uncalibrated = noise_octaves(samples, rate_hz, Calibration(0.0)).a_level_dba
    if math.isinf(uncalibrated):
        raise LevelError("recording", "silence", "the noise that the meter read")
    return Calibration(meter_dba - uncalibrated)


def _checked(samples: Samples) -> NDArray[np.float64]:
    data = np.asarray(samples, dtype=np.float64)
    if data.ndim != 1 or data.size == 0 or not np.all(np.isfinite(data)):
        raise LevelError(
            "recording", f"shape {data.shape}", "one channel of samples, not empty"
        )
    return data


def _active(data: NDArray[np.float64], rate_hz: int) -> NDArray[np.bool_]:
    frame = max(1, rate_hz // 50)
    count = -(-data.size // frame)
    padded = np.zeros(count * frame)
    padded[: data.size] = data**2
    power = padded.reshape(count, frame).mean(axis=1)
    speaking = power > power.max() * 10 ** (-ACTIVE_MARGIN_DB / 10)
    return np.asarray(np.repeat(speaking, frame)[: data.size], dtype=np.bool_)


@lru_cache(maxsize=128)  # designing one takes longer than running it
def band_filter(
    nominal_hz: float,
    rate_hz: int,
    *,
    bands_per_octave: int = 1,
    partial_top: bool = False,
) -> NDArray[np.float64] | None:
    """Return the second-order sections of one band's filter.

    Returns:
        shape (n, 6); None for a band wholly above half the sampling rate.

    Raises:
        LevelError: the band reaches past half the rate, unless `partial_top`.
    """
    middle = exact_midband_hz(nominal_hz, bands_per_octave)
    half_width = 10 ** (0.15 / bands_per_octave)
    low, high = middle / half_width, middle * half_width
    nyquist = rate_hz / 2
    # Filters squeezed against half the rate lose their shape.
    if high <= 0.97 * nyquist:
        band = [low, high]
        sections = dsp.butter(
            FILTER_ORDER, band, btype="bandpass", fs=rate_hz, output="sos"
        )
        return np.asarray(sections, dtype=np.float64)
    if not partial_top:
        raise LevelError(
            f"sampling rate for the {nominal_hz:g} Hz band",
            f"{rate_hz} Hz",
            f"{math.ceil(2 * high / 0.97)} Hz or more, or enter that level by hand",
        )
    if low >= 0.97 * nyquist:
        return None
    sections = dsp.butter(
        2 * FILTER_ORDER, low, btype="highpass", fs=rate_hz, output="sos"
    )
    return np.asarray(sections, dtype=np.float64)
