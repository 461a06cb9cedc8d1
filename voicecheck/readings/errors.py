"""Errors of the readings room.

VoicecheckError
└── ReadingError  a reading is impossible, has no unit, or cannot be used
"""

from __future__ import annotations

import math

from voicecheck.errors import VoicecheckError

__all__ = ["ReadingError", "must_be_within"]


class ReadingError(VoicecheckError):
    """A reading is impossible or cannot be used; the text says what to give.

    Attributes:
        quantity: what was read, as the operator would call it.
        found: what was given.
        expected: what would be accepted.
    """

    def __init__(self, quantity: str, found: object, expected: str) -> None:
        """Store the parts and build the sentence."""
        super().__init__(f"{quantity}: got {found}; give {expected}.")
        self.quantity = quantity
        self.found = found
        self.expected = expected


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
