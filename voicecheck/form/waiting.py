"""What the typed form can wait for."""

from __future__ import annotations

from enum import StrEnum


class Waiting(StrEnum):
    """What the next line that is typed answers."""

    ANSWER = "answer"
    SKIP_REASON = "skip_reason"
    CLIMB = "climb"
    DECLARATION = "declaration"
    STOP = "stop"
    """Whether to end the walk here."""
    NOTHING = "nothing"
    """The walk is over or put aside."""
