"""Errors of the hearing room.

VoicecheckError
└── HearingError
    ├── LevelError          a level, duration or spectrum cannot be used
    └── ProtectorDataError  a hearing protector's data cannot be used
"""

from __future__ import annotations

from voicecheck.errors import QuantityError, VoicecheckError

__all__ = ["HearingError", "LevelError", "ProtectorDataError"]


class HearingError(VoicecheckError):
    """Something about hearing cannot be computed; the text says what to do."""


class LevelError(QuantityError, HearingError):
    """A level, duration, spectrum or sound is missing or impossible."""


class ProtectorDataError(HearingError):
    """Data of a hearing protector are missing, unknown or impossible.

    Attributes:
        place: the entry, as written.
        found: what stood there.
        expected: what the packaging or its leaflet would show.
    """

    def __init__(self, place: str, found: object, expected: str) -> None:
        """Store the parts and build the sentence."""
        super().__init__(
            f"hearing protector, {place}: got {found}; give {expected}. "
            "The figures stand on the packaging or in its leaflet."
        )
        self.place = place
        self.found = found
        self.expected = expected
