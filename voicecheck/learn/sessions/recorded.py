"""A session that can be taken up again: each answer is kept as it is taken.

Recall from memory is judged only when a zone is complete. So that a sitting that
breaks off loses nothing, every answer is kept with the personal results, and the
next sitting says them to a fresh session.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from uuid import UUID

from voicecheck.errors import LearnError
from voicecheck.learn.events import Mode, Said
from voicecheck.learn.history import Done
from voicecheck.learn.sessions.ports import Feedback, Question, Session

__all__ = ["HINT", "Recorded", "left_open", "take_up"]

HINT = "/hint"
"""Stands among the answers for a hint that was asked for."""
_END = "/end"


class Recorded:
    """Pass everything on to a session, and add what was said to its events.

    Args:
        session: the session itself.
        sitting: a name of its own, new for each sitting begun.
        scope: what the session was made of, to make it anew.
    """

    def __init__(self, session: Session, *, sitting: UUID, scope: str) -> None:
        self._session = session
        self._sitting = sitting
        self._scope = scope

    @property
    def mode(self) -> Mode:
        """Which kind of practice it is."""
        return self._session.mode

    @property
    def finished(self) -> bool:
        """Tell whether nothing is left to ask."""
        return self._session.finished

    def ask(self) -> Question:
        """Return the question that is open."""
        return self._session.ask()

    def answer(self, value: str) -> Feedback:
        """Take one answer; it is the first of the events."""
        return self._with(value, self._session.answer(value))

    def hint(self) -> Feedback:
        """Help; that it was asked for is kept as well."""
        return self._with(HINT, self._session.hint())

    def ending(self) -> Feedback:
        """Judge the whole; the sitting cannot be taken up after that."""
        return self._with(_END, self._session.ending())

    def _with(self, value: str, feedback: Feedback) -> Feedback:
        said = Said(
            mode=self.mode, sitting=self._sitting, scope=self._scope, value=value
        )
        return replace(feedback, events=(said, *feedback.events))


def left_open(done: Sequence[Done], mode: Mode, scope: str) -> tuple[Said, ...]:
    """Return what was said in the latest sitting of this scope, if it broke off.

    Args:
        done: in order of time.
        mode: of the session.
        scope: of the session; another one is another session.
    """
    said = [
        one.event
        for one in done
        if isinstance(one.event, Said)
        and one.event.mode is mode
        and one.event.scope == scope
    ]
    if not said:
        return ()
    last = [one for one in said if one.sitting == said[-1].sitting]
    return () if last[-1].value == _END else tuple(last)


def take_up(session: Session, said: Iterable[Said]) -> int:
    """Say earlier answers to a fresh session; return how many were taken.

    What they bring was kept the first time. An answer that does not fit any
    more, because the checklist has changed, ends it there.
    """
    taken = 0
    for one in said:
        try:
            if one.value == HINT:
                session.hint()
            else:
                session.answer(one.value)
        except LearnError:
            break
        taken += 1
    return taken
