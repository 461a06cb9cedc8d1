"""Coolant: from the share of glycol to the freezing point, and back."""

from __future__ import annotations

from enum import StrEnum
from functools import cache
from typing import Any

from voicecheck.readings.errors import ReadingError, must_be_within

__all__ = [
    "CAUTION",
    "HIGHEST_PERCENT",
    "RECOMMENDED_PERCENT",
    "SOURCES",
    "Glycol",
    "freezing_point_c",
    "share_for_percent",
]

CAUTION = (
    "Never open a hot cooling system. Inhibitors shift the point: the maker's "
    "table and the manual of the machine come first."
)
HIGHEST_PERCENT = 60.0
RECOMMENDED_PERCENT = (40.0, 60.0)
"""ASTM D3306: coolants are meant for 40 to 60 % concentrate by volume."""


class Glycol(StrEnum):
    """What the coolant is made of, besides water."""

    ETHYLENE = "ethylene"
    PROPYLENE = "propylene"


_TABLE_C: dict[Glycol, tuple[tuple[float, float], ...]] = {
    Glycol.ETHYLENE: (
        (0, 0.0),
        (10, -3.6),
        (20, -9.0),
        (30, -15.7),
        (40, -24.8),
        (50, -37.1),
        (60, -52.0),
    ),
    Glycol.PROPYLENE: (
        (0, 0.0),
        (10, -2.2),
        (20, -6.7),
        (25, -8.9),
        (30, -12.8),
        (35, -16.1),
        (40, -20.6),
        (45, -26.7),
        (50, -33.3),
        (60, -51.1),
    ),
}
"""Percent by volume, freezing point in °C."""

SOURCES = {
    Glycol.ETHYLENE: "ASHRAE Handbook curve as fitted in CoolProp (AEG)",
    Glycol.PROPYLENE: (
        "Lange's Handbook of Chemistry, 15th ed., Table 5.13; above 50 %: ASHRAE "
        "Handbook curve as fitted in CoolProp (APG)"
    ),
}


def freezing_point_c(percent: float, glycol: Glycol) -> float:
    """Return where the first ice forms.

    Between the rows of the table a monotone cubic (PCHIP) runs.

    Args:
        percent: glycol by volume, 0 to 60. Percent by mass is another number.
        glycol: which.

    Raises:
        ReadingError: below 0, or above 60: there the coolant carries less heat
            and the freezing point turns round and rises again.
    """
    must_be_within(
        "glycol by volume", percent, 0, HIGHEST_PERCENT, "% (more protects no better)"
    )
    return float(_curve(glycol)(percent))


def share_for_percent(lowest_c: float, glycol: Glycol) -> float:
    """Return the least share of glycol that stays free of ice at a temperature.

    Raises:
        ReadingError: no share up to 60 % does, or it is no winter temperature.
    """
    coldest = _TABLE_C[glycol][-1][1]
    if lowest_c >= 0:
        return 0.0
    if not lowest_c >= coldest:
        raise ReadingError(
            "lowest temperature",
            f"{lowest_c:g} °C",
            f"{coldest:g} °C or warmer; below that ask the coolant's maker",
        )
    from scipy.optimize import brentq  # noqa: PLC0415

    curve = _curve(glycol)
    return float(brentq(lambda x: float(curve(x)) - lowest_c, 0.0, HIGHEST_PERCENT))


@cache
def _curve(glycol: Glycol) -> Any:
    from scipy.interpolate import PchipInterpolator  # noqa: PLC0415

    percents, points = zip(*_TABLE_C[glycol], strict=True)
    return PchipInterpolator(percents, points)
