"""Errors of the readings room.

QuantityError
└── ReadingError  a reading is impossible, has no unit, or cannot be used
"""

from __future__ import annotations

import math

from voicecheck.errors import QuantityError

__all__ = ["ReadingError", "must_be_within"]


class ReadingError(QuantityError):
    """A reading is impossible, has no unit, or cannot be used."""


def must_be_within(
    quantity: str, value: float, lowest: float, highest: float, unit: str = ""
) -> None:
    """Refuse a value outside a range, and one that is no number.

    Raises:
        ReadingError: naming the quantity and the range.
    """
    if math.isnan(value) or not lowest <= value <= highest:
        expected = f"{lowest:g} to {highest:g} {unit}".rstrip()
        raise ReadingError(quantity, f"{value:g}", f"a value from {expected}")
