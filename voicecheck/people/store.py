"""Keep personal results, and show them to those who may see them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TypeVar

from sqlalchemy import Connection

from voicecheck.clock import Clock, SystemClock, utc_text
from voicecheck.errors import NotAllowed
from voicecheck.people import access, codes, erasing, keeping, looking, registering
from voicecheck.people.database import PeopleDatabase, default_place
from voicecheck.people.document import person_document
from voicecheck.people.events import PersonalEvent
from voicecheck.people.names import person_id
from voicecheck.people.roles import Action, Person, Role, may, refusal
from voicecheck.people.rows import Erasure, Look

Found = TypeVar("Found")


class PeopleStore:
    """People, their results, and who has looked at them.

    Args:
        where: an SQLite file or a URL; None: the place of this computer, see
            `voicecheck.people.database.default_place`.
        clock: tells when somebody looked, and when a code may be tried again.

    Raises:
        UsageError: the URL cannot be used.
        PeopleError: the database cannot be opened, or is newer than this program.
    """

    def __init__(
        self, where: Path | str | None = None, *, clock: Clock | None = None
    ) -> None:
        self._database = PeopleDatabase(default_place() if where is None else where)
        self._clock = clock or SystemClock()

    @property
    def place(self) -> str:
        """Name the database to a person, without a password."""
        return self._database.place

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._database.close()

    def register(self, who: str, roles: Iterable[Role], by: str) -> Person:
        """Add a person, or give somebody who is there these roles instead.

        Everybody may register themselves as a learner. Other roles are given by
        a supervisor; while there is none, the first one registers themselves.

        Raises:
            UsageError: an id that cannot be one.
            PeopleError: no role, or the last supervisor would be gone.
            NotAllowed: `by` may not give these roles.
        """
        person = Person(
            id=person_id(who),
            roles=frozenset(roles),
            registered_utc=self._now(),
            registered_by=person_id(by),
        )
        with self._database.writing() as connection:
            return registering.register(connection, person)

    def person(self, who: str) -> Person:
        """Return a person.

        Raises:
            PeopleError: nobody of that id is registered.
        """
        with self._database.reading() as connection:
            return registering.known(connection, who)

    def people(self, reader: str) -> tuple[Person, ...]:
        """Return the people that a reader may know of, by id.

        A supervisor sees all, an assessor all learners, everybody themselves.
        """
        with self._database.reading() as connection:
            own = registering.known(connection, reader)
            found = registering.everybody(connection)
        if Role.SUPERVISOR in own.roles:
            return found
        assesses = Role.ASSESSOR in own.roles
        return tuple(
            one
            for one in found
            if one.id == own.id or (assesses and Role.LEARNER in one.roles)
        )

    def append(self, event: PersonalEvent) -> bool:
        """Keep an event; tell whether it is new.

        Raises:
            PeopleError: the subject or the writer is not registered, or the key
                was used for something else.
            NotAllowed: the writer may not write into these results.
        """
        return self.append_all((event,)) == 1

    def append_all(self, events: Sequence[PersonalEvent]) -> int:
        """Keep all events or none, each key once; return how many were new.

        An event whose subject was erased since is not taken in again.

        Raises:
            PeopleError: as `append`.
            NotAllowed: as `append`.
        """
        with self._database.writing() as connection:
            return sum(keeping.append(connection, event) for event in events)

    def events(
        self, subject: str, reader: str, kind_prefix: str = ""
    ) -> tuple[PersonalEvent, ...]:
        """Return what a reader may see of a person's results, in order of keeping.

        The look is written down, a refused one too. An assessor sees what they
        wrote themselves, and threads that they began.

        Raises:
            PeopleError: one of the two is not registered.
            NotAllowed: the reader may not see results of this person.
        """
        return self._look(
            subject,
            reader,
            Action.SEE,
            f"results {kind_prefix}".strip(),
            lambda connection, own: keeping.visible(
                connection, own, subject, kind_prefix
            ),
        )

    def looks(self, subject: str, reader: str) -> tuple[Look, ...]:
        """Return who has looked at a person's results; this is a look as well.

        Raises:
            PeopleError: one of the two is not registered.
            NotAllowed: only the person and supervisors may.
        """
        return self._look(
            subject,
            reader,
            Action.SEE_LOOKS,
            "looks",
            lambda connection, _: looking.read_looks(connection, subject),
        )

    def export(self, subject: str, reader: str) -> dict[str, Any]:
        """Return all that is kept of a person, as `voicecheck.people.document`.

        Raises:
            PeopleError: one of the two is not registered.
            NotAllowed: only the person and supervisors may.
        """

        def read(connection: Connection, own: Person) -> dict[str, Any]:
            return person_document(
                registering.known(connection, subject),
                keeping.visible(connection, own, subject, ""),
                looking.read_looks(connection, subject),
                self._now(),
            )

        return self._look(subject, reader, Action.EXPORT, "export", read)

    def erase(self, subject: str, by: str) -> Erasure:
        """Remove a person and their results; keep only that it was done.

        The file is then written anew, so that nothing is left between its pages.

        Raises:
            PeopleError: one of the two is not registered; the person is the only
                supervisor and others are left; or the file is in use: then the
                results are gone, and `wipe` has to be called again.
            NotAllowed: only the person and supervisors may.
        """

        def remove(connection: Connection, _: Person) -> Erasure:
            registering.check_supervised(connection, subject)
            return erasing.erase(connection, subject, by, self._now())

        found = self._look(subject, by, Action.ERASE, "erase", remove)
        self.wipe()
        return found

    def wipe(self) -> None:
        """Write the file anew: what was deleted leaves no trace in it.

        Raises:
            PeopleError: another program holds the file.
        """
        self._database.wipe()

    def erasures(self) -> tuple[Erasure, ...]:
        """Return that people were erased, and when; not who they were."""
        with self._database.reading() as connection:
            return erasing.read_erasures(connection)

    def issue_code(self, who: str, by: str | None = None) -> str:
        """Return a new access code of a person; it cannot be shown again.

        Args:
            who: whose code it is; an older one counts no longer.
            by: who asks for it: the person or a supervisor; None: the person.

        Raises:
            PeopleError: one of the two is not registered.
            NotAllowed: `by` may not.
        """
        code = codes.new_code()
        kept = codes.hash_code(code)
        with self._database.writing() as connection:
            person = registering.known(connection, who, lock=True)
            giver = registering.known(connection, who if by is None else by)
            if not may(giver, Action.ISSUE_CODE, person.id):
                raise NotAllowed(refusal(giver, Action.ISSUE_CODE, person.id))
            access.keep_code(connection, person.id, kept, self._clock.now())
        return code

    def check_code(self, who: str, code: str) -> bool:
        """Tell whether a code is a person's; False also where there is no such person.

        Raises:
            TooManyTries: too many wrong codes came in a row; the text says how
                long to wait. Not even the right code counts until then.
        """
        with self._database.writing() as connection:
            kept = access.begin_try(connection, who, self._clock.now())
        if kept is None:
            codes.hash_code(code)  # takes as long as a code that is wrong
            return False
        if not codes.same_code(code, kept):
            return False
        with self._database.writing() as connection:
            access.forgive(connection, who, kept, self._clock.now())
        return True

    def _now(self) -> str:
        return utc_text(self._clock.now())

    def _look(
        self,
        subject: str,
        reader: str,
        action: Action,
        what: str,
        read: Callable[[Connection, Person], Found],
    ) -> Found:
        """Read in one transaction with the line that says so; refuse likewise."""
        found: Found | None = None
        with self._database.writing() as connection:
            person = registering.known(connection, subject)
            own = registering.known(connection, reader)
            made_by = own.id if action is Action.SEE else ""
            allowed = may(own, action, person.id, made_by)
            look = Look(
                reader=own.id,
                subject=person.id,
                what=what,
                at_utc=self._now(),
                allowed=allowed,
            )
            looking.write_look(connection, look)
            if allowed:
                found = read(connection, own)
        if not allowed:
            raise NotAllowed(refusal(own, action, person.id))
        assert found is not None
        return found
