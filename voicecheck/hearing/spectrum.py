"""Octave-band levels, frequency weighting and sums of energy.

Levels are sound pressure levels in dB re 20 µPa, per octave band.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Self, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from voicecheck.hearing.errors import LevelError

__all__ = [
    "OCTAVE_HZ",
    "SPEECH_OCTAVE_HZ",
    "Levels",
    "OctaveLevels",
    "a_weighting_db",
    "c_weighting_db",
    "energy_sum_db",
    "exact_midband_hz",
]

Levels: TypeAlias = NDArray[np.float64]
"""Levels in dB, one per band."""

OCTAVE_HZ = (63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
"""Nominal midband frequencies that protector data and noise readings use."""

SPEECH_OCTAVE_HZ = OCTAVE_HZ[2:]
"""The six octave bands of the speech intelligibility index."""

HIGHEST_LEVEL_DB = 160.0
"""Above this a level is taken for a slip of the pen (our choice)."""

_POLES_HZ = (20.598997, 107.65265, 737.86223, 12194.217)


def exact_midband_hz(nominal_hz: float, bands_per_octave: int = 1) -> float:
    """Return the exact base-ten midband frequency of a nominal band.

    Source:
        IEC 61260-1:2014, base-ten midbands: f = 1000 Hz · G^(n/b), G = 10^(3/10).
    """
    step = 0.3 / bands_per_octave
    steps = round(math.log10(nominal_hz / 1000.0) / step)
    return float(1000.0 * 10 ** (steps * step))


def a_weighting_db(frequency_hz: ArrayLike) -> Levels:
    """Return frequency weighting A in dB, 0 at 1 kHz.

    Source:
        IEC 61672-1:2013, analytical expression with pole frequencies f1 to f4.
    """
    f1, f2, f3, f4 = _POLES_HZ

    def response(f: Levels) -> Levels:
        top = f4**2 * f**4
        bottom = (f**2 + f1**2) * np.sqrt((f**2 + f2**2) * (f**2 + f3**2))
        return np.asarray(top / (bottom * (f**2 + f4**2)))

    return _relative_to_1_khz(response(_hz(frequency_hz)), response(_hz(1000.0)))


def c_weighting_db(frequency_hz: ArrayLike) -> Levels:
    """Return frequency weighting C in dB, 0 at 1 kHz.

    Source:
        IEC 61672-1:2013, analytical expression.
    """
    f1, _, _, f4 = _POLES_HZ

    def response(f: Levels) -> Levels:
        return np.asarray(f4**2 * f**2 / ((f**2 + f1**2) * (f**2 + f4**2)))

    return _relative_to_1_khz(response(_hz(frequency_hz)), response(_hz(1000.0)))


def _hz(frequency_hz: ArrayLike) -> Levels:
    return np.asarray(frequency_hz, dtype=np.float64)


def _relative_to_1_khz(response: Levels, at_1_khz: Levels) -> Levels:
    return np.asarray(20 * np.log10(response / at_1_khz))


def energy_sum_db(levels_db: Iterable[float]) -> float:
    """Return the level of sounds that add up in energy; of none, -inf."""
    total = sum(10 ** (level / 10) for level in levels_db)
    return 10 * math.log10(total) if total > 0 else -math.inf


_EXACT_HZ = [exact_midband_hz(hz) for hz in OCTAVE_HZ]
_A_DB = a_weighting_db(_EXACT_HZ)
_C_DB = c_weighting_db(_EXACT_HZ)


@dataclass(frozen=True, slots=True)
class OctaveLevels:
    """One level for each octave band, 63 Hz or 125 Hz up to 8 kHz."""

    level_db: tuple[float, ...]
    """Eight levels from 63 Hz, or seven from 125 Hz; -inf is silence."""

    def __post_init__(self) -> None:
        """Refuse a wrong count and levels that no yard has."""
        if len(self.level_db) not in (7, 8):
            raise LevelError(
                "octave-band levels",
                f"{len(self.level_db)} values",
                "eight (63 Hz to 8 kHz) or seven (125 Hz to 8 kHz)",
            )
        for hz, level in zip(self.midband_hz, self.level_db, strict=True):
            if math.isnan(level) or level > HIGHEST_LEVEL_DB:
                raise LevelError(
                    f"level of the {hz:g} Hz octave",
                    level,
                    f"decibels up to {HIGHEST_LEVEL_DB:g}",
                )

    @classmethod
    def of(cls, values_db: Sequence[float]) -> Self:
        """Build from any sequence of seven or eight levels."""
        return cls(tuple(float(value) for value in values_db))

    @property
    def midband_hz(self) -> tuple[float, ...]:
        """Nominal midband frequencies of the levels that are there."""
        return OCTAVE_HZ[-len(self.level_db) :]

    @property
    def speech_bands_db(self) -> tuple[float, ...]:
        """The six levels from 250 Hz to 8 kHz."""
        return self.level_db[-len(SPEECH_OCTAVE_HZ) :]

    @property
    def a_level_dba(self) -> float:
        """A-weighted level."""
        weights = _A_DB[-len(self.level_db) :]
        return energy_sum_db(np.asarray(self.level_db) + weights)

    @property
    def c_level_dbc(self) -> float:
        """C-weighted level."""
        weights = _C_DB[-len(self.level_db) :]
        return energy_sum_db(np.asarray(self.level_db) + weights)

    def shifted(self, change_db: float | Sequence[float]) -> OctaveLevels:
        """Return the levels changed by one figure, or one per band."""
        return OctaveLevels.of(tuple(np.asarray(self.level_db) + np.asarray(change_db)))

    def scaled_to_dba(self, a_level_dba: float) -> OctaveLevels:
        """Return the same shape at another A-weighted level.

        Raises:
            LevelError: every band is silent, so there is no shape.
        """
        if math.isinf(self.a_level_dba):
            raise LevelError("octave-band levels", "silence", "at least one level")
        return self.shifted(a_level_dba - self.a_level_dba)
