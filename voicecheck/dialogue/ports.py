"""What the dialogue needs from the store, and what a runner can play."""

from __future__ import annotations

from typing import Protocol

from voicecheck.audio.noise_watch.loudness import Change
from voicecheck.dialogue.machine import State
from voicecheck.dialogue.turns import Step, Turn
from voicecheck.round.events import How, WalkEvent
from voicecheck.round.walk import Walk
from voicecheck.speech.ports import Listened


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


class Talker(Protocol):
    """A conversation as its runner knows it: told what was heard, it answers with
    the next turn. A walk is one, a session of practice another."""

    @property
    def language(self) -> str:
        """Of prompts and answers."""
        ...

    @property
    def state(self) -> State:
        """What is being waited for."""
        ...

    @property
    def zone_id(self) -> str | None:
        """Where the person is; None: nowhere in particular."""
        ...

    def begin(self) -> Turn:
        """Return the first turn."""
        ...

    def heard(self, listened: Listened, prompt_began_s: float) -> Turn:
        """Take in what was heard and return the next turn."""
        ...

    def note_recorded(self, clip_sha256: str, seconds: float) -> Turn:
        """Keep a note that a turn asked for."""
        ...

    def loudness_changed(self, change: Change) -> None:
        """Become careful when it is too loud, and as usual when it is not."""
        ...

    def device_lost(self, reason: str, played: int = 0) -> tuple[Step, ...]:
        """Wait because sound is gone; return what whoever watches is told."""
        ...

    def device_back(self) -> Turn:
        """Carry on after sound has come back."""
        ...
