"""Pressure of the air around, by altitude."""

from __future__ import annotations

from voicecheck.readings.errors import must_be_within

__all__ = ["SEA_LEVEL_KPA", "ambient_pressure_kpa", "must_be_ambient"]

SEA_LEVEL_KPA = 101.325
_SEA_LEVEL_K = 288.15
_LAPSE_K_PER_M = 0.0065
_EXPONENT = 9.80665 / (287.05287 * _LAPSE_K_PER_M)


def ambient_pressure_kpa(altitude_m: float) -> float:
    """Return the pressure of the standard atmosphere.

    Weather moves it by a few kPa either way, which hardly matters for tyres.

    Args:
        altitude_m: geopotential altitude, −500 to 6000 m.

    Raises:
        ReadingError: no machine works there.

    Source:
        ISO 2533:1975 (the same below 32 km as the U.S. Standard Atmosphere,
        1976), linear temperature layer from sea level.
    """
    must_be_within("altitude", altitude_m, -500, 6000, "m")
    share = 1 - _LAPSE_K_PER_M * altitude_m / _SEA_LEVEL_K
    return float(SEA_LEVEL_KPA * share**_EXPONENT)


def must_be_ambient(ambient_kpa: float) -> None:
    """Refuse a pressure that is not found where machines work."""
    must_be_within("pressure of the air", ambient_kpa, 45, 112, "kPa")
