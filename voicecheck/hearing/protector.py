"""A hearing protector, by the figures on its packaging.

The ratings come from different tests: none is ever converted into another.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.hearing.errors import ProtectorDataError
from voicecheck.hearing.spectrum import OCTAVE_HZ

__all__ = ["DEFAULT_NAME", "HmlRating", "OctaveAttenuation", "Protector"]

DEFAULT_NAME = "hearing protector"

HIGHEST_ATTENUATION_DB = 60.0
HIGHEST_DEVIATION_DB = 20.0
"""Beyond these an entry is taken for a slip of the pen (our choice)."""


def _check(place: str, value: float, highest: float) -> None:
    if not 0 <= value <= highest:
        raise ProtectorDataError(place, value, f"decibels from 0 to {highest:g}")


@dataclass(frozen=True, slots=True, kw_only=True)
class OctaveAttenuation:
    """Attenuation measured per octave band, 63 Hz or 125 Hz up to 8 kHz."""

    mean_db: tuple[float, ...]
    """Mean attenuation, eight values from 63 Hz or seven from 125 Hz."""
    deviation_db: tuple[float, ...]
    """Standard deviation, as many values."""

    def __post_init__(self) -> None:
        """Refuse a wrong count and figures that no protector has."""
        if len(self.mean_db) not in (7, 8):
            raise ProtectorDataError(
                "mean attenuation",
                f"{len(self.mean_db)} values",
                "eight (63 Hz to 8 kHz) or seven (125 Hz to 8 kHz)",
            )
        if len(self.deviation_db) != len(self.mean_db):
            raise ProtectorDataError(
                "standard deviation",
                f"{len(self.deviation_db)} values",
                f"{len(self.mean_db)}, one for each mean",
            )
        bands = zip(self.midband_hz, self.mean_db, self.deviation_db, strict=True)
        for hz, mean, deviation in bands:
            _check(f"mean attenuation at {hz:g} Hz", mean, HIGHEST_ATTENUATION_DB)
            _check(f"deviation at {hz:g} Hz", deviation, HIGHEST_DEVIATION_DB)

    @property
    def midband_hz(self) -> tuple[float, ...]:
        """Nominal midband frequencies of the values that are there."""
        return OCTAVE_HZ[-len(self.mean_db) :]

    def assumed_protection_db(self, deviations: float = 1.0) -> tuple[float, ...]:
        """Return mean less so many standard deviations, per band.

        One deviation stands for protection that 84 % of wearers reach, two
        for 98 %. Below 0 counts as 0: the careful reading never adds to it.

        Source:
            ISO 4869-2, clause 5 (assumed protection value).
        """
        pairs = zip(self.mean_db, self.deviation_db, strict=True)
        return tuple(max(0.0, mean - deviations * sd) for mean, sd in pairs)


@dataclass(frozen=True, slots=True, kw_only=True)
class HmlRating:
    """High, medium and low-frequency attenuation values of ISO 4869-2."""

    high_db: float
    medium_db: float
    low_db: float

    def __post_init__(self) -> None:
        """Refuse figures that no protector has, and swapped ones."""
        for place, value in (
            ("H", self.high_db),
            ("M", self.medium_db),
            ("L", self.low_db),
        ):
            _check(place, value, HIGHEST_ATTENUATION_DB)
        if self.low_db > self.high_db:
            raise ProtectorDataError(
                "H and L",
                f"H {self.high_db:g} and L {self.low_db:g}",
                "H as the higher one; the two may have been swapped",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Protector:
    """One protector with whatever ratings its packaging shows."""

    name: str = DEFAULT_NAME
    octave: OctaveAttenuation | None = None
    hml: HmlRating | None = None
    snr_db: float | None = None
    """Single number rating of ISO 4869-2."""
    nrr_db: float | None = None
    """Noise reduction rating of 40 CFR 211."""

    def __post_init__(self) -> None:
        """Refuse a protector of which nothing is known."""
        ratings = (self.octave, self.hml, self.snr_db, self.nrr_db)
        if all(rating is None for rating in ratings):
            raise ProtectorDataError(
                "ratings",
                "none",
                "octave-band mean and deviation, or H, M and L, or SNR, or NRR",
            )
        if self.snr_db is not None:
            _check("SNR", self.snr_db, HIGHEST_ATTENUATION_DB)
        if self.nrr_db is not None:
            _check("NRR", self.nrr_db, HIGHEST_ATTENUATION_DB)
