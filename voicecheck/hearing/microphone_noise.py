"""Octave levels of a noise that a microphone recorded.

Source:
    Calibration against a sound level meter that reads the same noise at the
    same time; it holds for this microphone at this setting only (common
    practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.measure import Calibration, Samples, band_levels_db
from voicecheck.hearing.spectrum import OCTAVE_HZ, OctaveLevels, exact_midband_hz

__all__ = ["RecordedNoise", "calibrated_octaves", "recorded_noise"]

FULLEST_SHARE = 0.97
"""Part of half the sampling rate up to which a filter keeps its shape."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedNoise:
    """Octave levels of a recording, not yet calibrated."""

    octave: OctaveLevels
    """Levels in dB re 1.0, not sound pressure levels."""
    assumed_hz: tuple[float, ...]
    """Octaves that the sampling rate cannot hold. Each is taken for as loud as
    the highest one measured: machines fall off there, so this is careful."""

    @property
    def is_silent(self) -> bool:
        """Whether nothing at all was recorded."""
        return math.isinf(self.octave.a_level_dba)


def recorded_noise(samples: Samples, rate_hz: int) -> RecordedNoise:
    """Measure the octaves from 63 Hz to 8 kHz of a recording.

    Args:
        samples: mono, shape (n,), RMS 1.0 standing for 0 dB.
        rate_hz: samples a second, 8 kHz at least.

    Raises:
        LevelError: no samples, samples that are not numbers, or a rate that
            does not even hold the octaves up to 2 kHz.
    """
    measured = [hz for hz in OCTAVE_HZ if _top_hz(hz) <= FULLEST_SHARE * rate_hz / 2]
    if len(measured) < OCTAVE_HZ.index(2000.0) + 1:
        raise LevelError("sampling rate", f"{rate_hz} Hz", "8 kHz or more")
    levels = band_levels_db(samples, rate_hz, tuple(measured))
    missing = OCTAVE_HZ[len(measured) :]
    return RecordedNoise(
        octave=OctaveLevels.of([*levels, *(levels[-1] for _ in missing)]),
        assumed_hz=missing,
    )


def calibrated_octaves(noise: RecordedNoise, calibration: Calibration) -> OctaveLevels:
    """Return sound pressure levels.

    Raises:
        LevelError: the recording is silent, or a level comes out impossible.
    """
    if noise.is_silent:
        raise LevelError(
            "recording", "silence", "noise; look at the microphone's mute switch"
        )
    return noise.octave.shifted(calibration.full_scale_db)


def _top_hz(midband_hz: float) -> float:
    return exact_midband_hz(midband_hz) * 10**0.15
