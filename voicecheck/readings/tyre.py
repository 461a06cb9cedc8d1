"""Tyre pressure, corrected for temperature and for the air around."""

from __future__ import annotations

from enum import StrEnum

from voicecheck.readings.atmosphere import SEA_LEVEL_KPA, must_be_ambient
from voicecheck.readings.errors import ReadingError, must_be_within

__all__ = ["CAUTION", "TyreState", "corrected_pressure_kpa", "judge"]

CAUTION = (
    "Never bleed a hot tyre down to the cold figure. The manual of the machine "
    "and of the tyre come first."
)
_KELVIN = 273.15
_COLDEST_C = -70.0
_HOTTEST_C = 150.0
_HIGHEST_KPA = 1500.0
_SEVERELY_LOW = 0.8
_TENTH = 0.1


class TyreState(StrEnum):
    """A cold pressure beside the recommended one."""

    SEVERELY_LOW = "severely_low"
    """Four fifths or less: not to be pumped up in place."""
    LOW = "low"
    WITHIN_A_TENTH = "within_a_tenth"
    HIGH = "high"


def corrected_pressure_kpa(
    gauge_kpa: float,
    *,
    at_c: float,
    to_c: float,
    ambient_kpa: float = SEA_LEVEL_KPA,
    to_ambient_kpa: float | None = None,
) -> float:
    """Return what the gauge would show at another temperature of the tyre.

    Args:
        gauge_kpa: as read, above the air around.
        at_c: temperature of the air in the tyre when it was read.
        to_c: temperature to correct to.
        ambient_kpa: absolute pressure of the air around when it was read.
        to_ambient_kpa: the same where it is corrected to; None: no change.

    Raises:
        ReadingError: a value is impossible, or the tyre would be flat there.

    Source:
        Ideal gas at fixed volume (textbook): absolute pressure is proportional
        to absolute temperature. Moist air and stretch of the casing are left out.
    """
    must_be_within("tyre pressure", gauge_kpa, 0, _HIGHEST_KPA, "kPa")
    for what, value in (("temperature", at_c), ("temperature corrected to", to_c)):
        must_be_within(f"tyre {what}", value, _COLDEST_C, _HOTTEST_C, "°C")
    there_kpa = ambient_kpa if to_ambient_kpa is None else to_ambient_kpa
    must_be_ambient(ambient_kpa)
    must_be_ambient(there_kpa)
    absolute_kpa = gauge_kpa + ambient_kpa
    corrected = absolute_kpa * (to_c + _KELVIN) / (at_c + _KELVIN) - there_kpa
    # a hair below: zero comes back from a round trip as -1e-14
    if corrected < -1e-6:
        raise ReadingError(
            "tyre pressure",
            f"{gauge_kpa:g} kPa",
            "a tyre that holds pressure: at that temperature this one is flat",
        )
    return max(corrected, 0.0)


def judge(cold_kpa: float, recommended_kpa: float) -> TyreState:
    """Return how a cold pressure stands to the recommended one.

    Raises:
        ReadingError: the recommended pressure is not above zero.

    Source:
        Four fifths: 29 CFR 1910.177(f) [from memory], a rule for road wheels,
        as yardstick. A tenth either way: common practice, no source.
    """
    must_be_within("recommended pressure", recommended_kpa, 1, _HIGHEST_KPA, "kPa")
    must_be_within("tyre pressure", cold_kpa, 0, _HIGHEST_KPA, "kPa")
    # a hair towards the worse side, so that rounding never hides a low tyre
    if cold_kpa <= _SEVERELY_LOW * recommended_kpa + 1e-6:
        return TyreState.SEVERELY_LOW
    if cold_kpa < (1 - _TENTH) * recommended_kpa:
        return TyreState.LOW
    if cold_kpa > (1 + _TENTH) * recommended_kpa:
        return TyreState.HIGH
    return TyreState.WITHIN_A_TENTH
