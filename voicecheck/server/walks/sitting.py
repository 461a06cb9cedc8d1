"""One walk in hand: what was pressed goes in, a message comes out.

Each page carries the step it was made for. What comes from an older page (a
second press of one button, a page from before a restart, another tab) is not
taken: it would answer the next point.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from voicecheck.clock import Clock
from voicecheck.form.pages import Page, Pages
from voicecheck.form.typed_walk import TypedWalk
from voicecheck.form.waiting import Waiting
from voicecheck.server.security.secrets import new_name
from voicecheck.store.session import RecordRef, WalkSession

MODE = "browser"
COMMANDS = ("back", "skip", "pause", "stop")
LONGEST_NOTE = 500
"""Characters of a note."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """What the last press led to."""

    text: str
    recorded: str = ""
    """The prompt of the point whose answer was recorded; empty: none was."""
    refused: bool = False
    """What was given could not be taken."""


class Sitting:
    """A walk that this server drives.

    Every method may be called from any thread.

    Raises:
        JournalError: from whatever records; what was confirmed before is kept.
    """

    def __init__(self, session: WalkSession, language: str, clock: Clock) -> None:
        self.session = session
        self.language = language
        self.form = TypedWalk(
            session, Pages(session.walk.checklist, language), mode=MODE
        )
        self.message: Message | None = None
        self.lock = threading.RLock()
        self._clock = clock
        self._name = new_name()
        self._count = 0
        self.form.begin(clock.monotonic_s())

    @property
    def step(self) -> str:
        """Name what the page of this moment asks."""
        return f"{self._name}.{self._count}"

    @property
    def in_hand(self) -> bool:
        """Tell whether anything can be answered: not over, not put aside."""
        return self.form.waiting is not Waiting.NOTHING

    def choose(self, step: str, meaning: str) -> bool:
        """Take in the press of an answer's button.

        Returns:
            False when it came from an older page, and nothing was taken.
        """
        return self._act(step, lambda at_s: self.form.chosen(meaning, at_s))

    def type(self, step: str, text: str) -> bool:
        """Take in what was typed, an answer or a command; returns like `choose`."""
        return self._act(step, lambda at_s: self.form.typed(text, at_s))

    def command(self, step: str, command: str) -> bool:
        """Obey one of `COMMANDS`; returns like `choose`."""
        assert command in COMMANDS
        return self.type(step, command)

    def note(self, step: str, text: str) -> bool:
        """Keep a note at the point at hand; returns like `choose`."""
        plain = " ".join(text.split())[:LONGEST_NOTE]
        return self.type(step, f"note {plain}".strip())

    def finish(self) -> RecordRef | None:
        """Write the record of a walk that is over; None: it is not."""
        with self.lock:
            return self.session.finish() if self.session.walk.over else None

    def _act(self, step: str, take_in: Callable[[float], Page]) -> bool:
        with self.lock:
            if step != self.step or not self.in_hand:
                return False
            before = dict(self.session.walk.answers)
            waiting = self.form.waiting
            page = take_in(self._clock.monotonic_s())
            self._count += 1
            self.message = self._told(page, before)
            if waiting is self.form.waiting is Waiting.DECLARATION and not self.message:
                # refused once: the form says first what that means
                self.message = Message(text=self.form.page.lines[0], refused=True)
            return True

    def _told(self, page: Page, before: Mapping[str, object]) -> Message | None:
        """Say what happened: the lines that stand above the question."""
        asked = self.form.page.lines
        lines = page.lines
        answered = bool(asked) and lines[-len(asked) :] == asked
        said = lines[: -len(asked)] if answered else lines[:1]
        plain = [line.strip().removeprefix("= ") for line in said]
        text = " ".join(line for line in plain if line and not line.startswith("--"))
        walk = self.session.walk
        new = [point for point in walk.answers if point not in before]
        if new:
            prompt = walk.checklist.checkpoint(new[-1]).prompt
            return Message(text=text, recorded=prompt)
        return Message(text=text, refused=not answered) if text else None
