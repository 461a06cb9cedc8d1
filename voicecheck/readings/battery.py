"""Lead-acid battery: from the hydrometer to the state of charge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from voicecheck.readings.errors import ReadingError, must_be_within

__all__ = [
    "CAUTION",
    "SCALES",
    "BatteryCharge",
    "BatteryScale",
    "Beyond",
    "battery_charge",
    "corrected_gravity",
]

CAUTION = (
    "Acid burns and the gas explodes: eye protection, no sparks. Never charge or "
    "jump a frozen battery. Makers differ in what is full: their table comes first."
)
_PER_10_F = 0.004
_UNEQUAL_CELLS = 0.050
_STILL_FULL = 0.010
"""A hydrometer reads to about 0.005: so far above the scale is still full (ours)."""
_LOWEST, _HIGHEST = 1.000, 1.350


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryScale:
    """What a specific gravity means at the base temperature."""

    base_f: float
    points: tuple[tuple[float, float], ...]
    """(specific gravity, percent), rising from 0 to 100 percent."""
    source: str


SCALES = {
    "1.265": BatteryScale(
        base_f=80,
        points=((1.120, 0), (1.155, 25), (1.190, 50), (1.225, 75), (1.265, 100)),
        source="battery trade technical notes, starter battery, 80 °F",
    ),
    "1.277": BatteryScale(
        base_f=80,
        points=(
            (1.073, 10),
            (1.098, 20),
            (1.124, 30),
            (1.148, 40),
            (1.172, 50),
            (1.195, 60),
            (1.217, 70),
            (1.238, 80),
            (1.258, 90),
            (1.277, 100),
        ),
        source="battery trade table for deep cycle batteries [from memory]",
    ),
}
"""Scales by the specific gravity of a full battery."""


class Beyond(StrEnum):
    """Which end of the scale a cell lies beyond."""

    NEITHER = "neither"
    BELOW = "below_the_scale"
    ABOVE = "above_the_scale"


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryCharge:
    """State of charge of a battery, judged by its weakest cell."""

    corrected: tuple[float, ...]
    """Specific gravities at the base temperature, in the order given."""
    charge_percent: float
    """Of the weakest cell, held within the ends of the scale."""
    beyond: Beyond
    spread: float
    """Highest less lowest cell."""
    cells_unequal: bool
    """More than 0.050 apart: suspect battery [from memory]."""


def corrected_gravity(reading: float, *, at_c: float, base_f: float = 80.0) -> float:
    """Return a specific gravity as it would be at the base temperature.

    Raises:
        ReadingError: no electrolyte has that gravity or temperature.

    Source:
        Battery trade technical notes: add 0.004 for each 10 °F above 80 °F,
        subtract 0.004 for each 10 °F below (0 °F −0.032 … 160 °F +0.032).
    """
    must_be_within("specific gravity", reading, _LOWEST, _HIGHEST)
    must_be_within("temperature of the electrolyte", at_c, -40, 75, "°C")
    at_f = at_c * 9 / 5 + 32
    return reading + _PER_10_F * (at_f - base_f) / 10


def battery_charge(
    readings: Sequence[float], *, at_c: float, scale: BatteryScale = SCALES["1.265"]
) -> BatteryCharge:
    """Return the state of charge from the gravities of one to twelve cells.

    Between two rows of the scale the percentage is interpolated linearly.

    Raises:
        ReadingError: no cell, too many, or an impossible gravity or temperature.
    """
    if not 1 <= len(readings) <= 12:
        raise ReadingError("cells", f"{len(readings)}", "the gravity of 1 to 12 cells")
    corrected = tuple(
        corrected_gravity(value, at_c=at_c, base_f=scale.base_f) for value in readings
    )
    weakest = min(corrected)
    spread = max(corrected) - weakest
    percent, beyond = _on_scale(weakest, scale)
    return BatteryCharge(
        corrected=corrected,
        charge_percent=percent,
        beyond=beyond,
        spread=spread,
        cells_unequal=spread > _UNEQUAL_CELLS + 1e-9,
    )


def _on_scale(gravity: float, scale: BatteryScale) -> tuple[float, Beyond]:
    (lowest, least), (highest, most) = scale.points[0], scale.points[-1]
    if gravity < lowest - 1e-9:
        return least, Beyond.BELOW
    if gravity > highest + _STILL_FULL:
        return most, Beyond.ABOVE
    for (below, low), (above, high) in pairwise(scale.points):
        if gravity <= above:
            share = max(0.0, (gravity - below) / (above - below))
            return low + share * (high - low), Beyond.NEITHER
    return most, Beyond.NEITHER
