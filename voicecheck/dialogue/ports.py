"""What the dialogue needs from the store."""

from __future__ import annotations

from typing import Protocol

from voicecheck.round.events import How, WalkEvent
from voicecheck.round.walk import Walk


class Keeper(Protocol):
    """Keep what is confirmed, at once and for good."""

    @property
    def walk(self) -> Walk: ...

    def commit(self, event: WalkEvent, how: How | None = None) -> object:
        """Keep an event and move the walk; durable when it returns.

        Raises:
            WalkError: the event does not fit; nothing is kept.
            JournalError: it could not be kept; the walk has not moved.
        """
        ...

    def observe(
        self, kind: str, checkpoint_id: str | None = None, detail: str = ""
    ) -> object:
        """Keep something that does not change the walk."""
        ...
