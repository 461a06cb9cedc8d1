"""Keep what practice leaves behind with the person, apart from the journal."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from uuid import UUID, uuid4

from voicecheck.clock import Clock, SystemClock, utc_text
from voicecheck.errors import PeopleError
from voicecheck.learn.events import LearnEvent, Mode, Sitting
from voicecheck.learn.history import PREFIX, Done, read
from voicecheck.people.events import PersonalEvent
from voicecheck.people.roles import Role
from voicecheck.people.store import PeopleStore

__all__ = ["Practice"]


class Practice:
    """One learner's practice: appended at once, read back when needed.

    Args:
        people: where personal results are kept.
        learner: id of the person.
        clock: tells when something was practised.
        new_key: makes the key of an event; the same key is kept once.
    """

    def __init__(
        self,
        people: PeopleStore,
        learner: str,
        *,
        clock: Clock | None = None,
        new_key: Callable[[], UUID] = uuid4,
    ) -> None:
        self._people = people
        self.learner = learner
        self._clock = clock or SystemClock()
        self._new_key = new_key

    @property
    def known(self) -> bool:
        """Tell whether the learner is registered."""
        try:
            self._people.person(self.learner)
        except PeopleError:
            return False
        return True

    def enrol(self) -> bool:
        """Register the learner with themselves, unless known; tell whether it was new.

        Raises:
            UsageError: an id that cannot be one.
        """
        if self.known:
            return False
        self._people.register(self.learner, {Role.LEARNER}, self.learner)
        return True

    def keep(self, events: Iterable[LearnEvent]) -> None:
        """Append events, all or none, before anything else happens.

        Raises:
            PeopleError: the learner is not registered, or the store is in use.
        """
        at = utc_text(self._clock.now())
        self._people.append_all(
            [
                PersonalEvent(
                    key=self._new_key(),
                    subject=self.learner,
                    kind=event.kind,
                    at_utc=at,
                    by=self.learner,
                    body=event.model_dump(mode="json"),
                )
                for event in events
            ]
        )

    def begin(self, mode: Mode) -> None:
        """Note that a sitting begins."""
        self.keep([Sitting(mode=mode, state="begun")])

    def end(self, mode: Mode) -> None:
        """Note that a sitting ends; one that breaks off has no such note."""
        self.keep([Sitting(mode=mode, state="ended")])

    def done(self, reader: str | None = None) -> tuple[Done, ...]:
        """Return what was practised; the look is written down.

        Args:
            reader: who looks; None: the learner.

        Raises:
            NotAllowed: the reader may not see results of this person.
            LearnError: an event that this version cannot read.
        """
        return read(self._people.events(self.learner, reader or self.learner, PREFIX))
