"""Urea solution (AUS 32, diesel exhaust fluid): is its strength right?

Requirements: ISO 22241-1. Density and refractive index hold at 20 °C.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from voicecheck.readings.errors import ReadingError, must_be_within

__all__ = [
    "CAUTION",
    "UreaCheck",
    "UreaState",
    "check_density",
    "check_percent",
    "check_refractive_index",
]

CAUTION = (
    "A right concentration says nothing about dirt, oil or fuel in it. When in "
    "doubt do not fill it in, and ask. The manual of the machine comes first."
)
LOWEST_PERCENT, HIGHEST_PERCENT = 31.8, 33.2
LOWEST_DENSITY, HIGHEST_DENSITY = 1087.0, 1093.0
LOWEST_INDEX, HIGHEST_INDEX = 1.3814, 1.3843
MEASURED_AT_C = 20.0
_TOLERANCE_K = 1.0
_EDGE = 1e-6
"""Rounding only: 33.2 passes, 33.3 does not."""


class UreaState(StrEnum):
    """How the concentration stands to ISO 22241-1."""

    WITHIN = "within"
    TOO_WEAK = "too_weak"
    TOO_STRONG = "too_strong"


@dataclass(frozen=True, slots=True, kw_only=True)
class UreaCheck:
    """The verdict on one measurement."""

    state: UreaState
    percent: float | None
    """Urea by mass; None: too far from the standard's range to say."""


def check_percent(percent: float) -> UreaCheck:
    """Judge urea percent by mass, as a refractometer with that scale shows it.

    Raises:
        ReadingError: not a percentage.

    Source:
        ISO 22241-1: 31.8 to 33.2 % by mass.
    """
    must_be_within("urea by mass", percent, 0, 100, "%")
    return UreaCheck(
        state=_state(percent, LOWEST_PERCENT, HIGHEST_PERCENT), percent=percent
    )


def check_density(density_kg_m3: float, *, at_c: float) -> UreaCheck:
    """Judge the density.

    Raises:
        ReadingError: not a density of such a liquid, or not measured at 20 °C.

    Source:
        ISO 22241-1: 1087.0 to 1093.0 kg/m³ at 20 °C. The percentage is
        interpolated linearly between the limits of both columns, our own way.
    """
    must_be_within("density", density_kg_m3, 900, 1300, "kg/m³")
    _at_20_c(at_c)
    return _interpolated(density_kg_m3, LOWEST_DENSITY, HIGHEST_DENSITY)


def check_refractive_index(index: float, *, at_c: float) -> UreaCheck:
    """Judge the refractive index.

    Raises:
        ReadingError: not an index of such a liquid, or not measured at 20 °C.

    Source:
        ISO 22241-1: 1.3814 to 1.3843 at 20 °C. Percentage as for the density.
    """
    must_be_within("refractive index", index, 1.30, 1.50)
    _at_20_c(at_c)
    return _interpolated(index, LOWEST_INDEX, HIGHEST_INDEX)


def _at_20_c(at_c: float) -> None:
    if not abs(at_c - MEASURED_AT_C) <= _TOLERANCE_K:
        raise ReadingError(
            "temperature of the solution",
            f"{at_c:g} °C",
            "19 to 21 °C: the limits hold at 20 °C, so let the sample reach it, or "
            "use a refractometer that corrects and give its percentage",
        )


def _state(value: float, lowest: float, highest: float) -> UreaState:
    if value < lowest - _EDGE:
        return UreaState.TOO_WEAK
    if value > highest + _EDGE:
        return UreaState.TOO_STRONG
    return UreaState.WITHIN


def _interpolated(value: float, lowest: float, highest: float) -> UreaCheck:
    window = highest - lowest
    share = (value - lowest) / window
    percent = LOWEST_PERCENT + share * (HIGHEST_PERCENT - LOWEST_PERCENT)
    # one window beyond either limit a straight line is still near enough
    near = -1 <= share <= 2
    return UreaCheck(
        state=_state(value, lowest, highest), percent=percent if near else None
    )
