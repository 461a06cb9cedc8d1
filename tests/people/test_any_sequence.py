"""Whatever people do in whatever order, rights, looks and erasures hold.

A model of few lines says what each reader should see; the store must agree after
every step, and the bytes of its file must hold nothing of anybody erased.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule

from voicecheck.clock import ManualClock
from voicecheck.errors import NotAllowed, PeopleError
from voicecheck.people.events import PersonalEvent
from voicecheck.people.roles import Role
from voicecheck.people.store import PeopleStore

ROLES = {
    "Boss.Quill": Role.SUPERVISOR,
    "Judge.Fern": Role.ASSESSOR,
    "Judge.Moss": Role.ASSESSOR,
    "Pupil.Reed": Role.LEARNER,
    "Pupil.Sage": Role.LEARNER,
}
BOSS = "Boss.Quill"
PERSON = st.sampled_from(sorted(ROLES))
THREADS = ["", *(str(UUID(int=at + 1)) for at in range(2))]


@dataclass
class Kept:
    """One result as the model has it."""

    event: PersonalEvent
    by: str | None
    """None: the writer was erased."""


@dataclass
class Model:
    """What should be there."""

    here: set[str] = field(default_factory=lambda: set(ROLES))
    kept: list[Kept] = field(default_factory=list)
    ever: list[PersonalEvent] = field(default_factory=list)
    looks: dict[str, list[tuple[str, bool]]] = field(default_factory=dict)
    forbidden: set[bytes] = field(default_factory=set)

    def visible(self, subject: str, reader: str) -> list[UUID]:
        """Return the keys that a reader who may look at all should see."""
        own = [one for one in self.kept if one.event.subject == subject]
        if reader not in (subject, BOSS):
            first = {}
            for one in own:
                first.setdefault(one.event.thread, one.by)
            own = [
                one
                for one in own
                if one.by == reader
                or (one.event.thread and first[one.event.thread] == reader)
            ]
        return [one.event.key for one in own]

    def look(self, subject: str, reader: str, allowed: bool) -> None:
        """Remember a look."""
        self.looks.setdefault(subject, []).append((reader, allowed))


def may_see(subject: str, reader: str) -> bool:
    """Tell the rule in the words of the issue, apart from the code."""
    return reader == subject or ROLES[reader] is not Role.LEARNER


class People(RuleBasedStateMachine):
    """Write, send again, look, export, erase and come back, in any order."""

    @initialize()
    def open(self) -> None:
        """Begin with everybody."""
        self.folder = tempfile.TemporaryDirectory()
        self.place = Path(self.folder.name) / "people.sqlite3"
        self.store = PeopleStore(self.place, clock=ManualClock())
        self.model = Model()
        for who, role in ROLES.items():
            self.store.register(who, {role}, by=BOSS)

    def teardown(self) -> None:
        """Close the file."""
        if hasattr(self, "store"):
            self.store.close()
            self.folder.cleanup()

    @rule(subject=PERSON, by=PERSON, thread=st.sampled_from(THREADS))
    def write(self, subject: str, by: str, thread: str) -> None:
        """A result is kept where the writer may write, and refused elsewhere."""
        event = PersonalEvent(
            key=uuid4(),
            subject=subject,
            kind="observe/mark/1",
            at_utc="2026-01-05T06:00:00.000Z",
            by=by,
            body={"note": f"{by} on {subject}: secret {uuid4().hex}"},
            thread=thread,
        )
        if not {subject, by} <= self.model.here:
            with pytest.raises(PeopleError, match="not registered"):
                self.store.append(event)
            return
        if not may_see(subject, by):
            with pytest.raises(NotAllowed):
                self.store.append(event)
            return
        assert self.store.append(event)
        self.model.kept.append(Kept(event=event, by=by))
        self.model.ever.append(event)

    @rule(data=st.data())
    def send_again(self, data: st.DataObject) -> None:
        """Nothing changes, whatever became of it or of its people since."""
        if not self.model.ever:
            return
        event = data.draw(st.sampled_from(self.model.ever))
        assert not self.store.append(event)

    @rule(subject=PERSON, reader=PERSON)
    def look(self, subject: str, reader: str) -> None:
        """Exactly what the reader may see, or a refusal; both are written down."""
        if not {subject, reader} <= self.model.here:
            with pytest.raises(PeopleError, match="not registered"):
                self.store.events(subject, reader)
            return
        allowed = may_see(subject, reader)
        self.model.look(subject, reader, allowed)
        if not allowed:
            with pytest.raises(NotAllowed):
                self.store.events(subject, reader)
            return
        found = [one.key for one in self.store.events(subject, reader)]
        assert found == self.model.visible(subject, reader)

    @rule(subject=PERSON, reader=PERSON)
    def export(self, subject: str, reader: str) -> None:
        """All of it, for the person and the supervisor only, with every look."""
        if not {subject, reader} <= self.model.here:
            return
        allowed = reader in (subject, BOSS)
        self.model.look(subject, reader, allowed)
        if not allowed:
            with pytest.raises(NotAllowed):
                self.store.export(subject, reader)
            return
        document = self.store.export(subject, reader)
        keys = [UUID(one["key"]) for one in document["events"]]
        assert keys == self.model.visible(subject, reader)
        looks = [(one["reader"], one["allowed"]) for one in document["looks"]]
        assert looks == self.model.looks[subject]

    @rule(subject=PERSON, by=PERSON)
    def erase(self, subject: str, by: str) -> None:
        """Nothing of the person is left in the bytes of any file."""
        if not {subject, by} <= self.model.here or subject == BOSS:
            return
        if by not in (subject, BOSS):
            self.model.look(subject, by, False)
            with pytest.raises(NotAllowed):
                self.store.erase(subject, by)
            return
        gone = self.store.erase(subject, by)
        mine = [one for one in self.model.kept if one.event.subject == subject]
        assert gone.events >= len(mine)
        for one in mine:
            secret = one.event.body["note"].rsplit(" ", 1)[1]
            self.model.forbidden.add(secret.encode())
        self.model.kept = [
            Kept(event=one.event, by=None if one.by == subject else one.by)
            for one in self.model.kept
            if one.event.subject != subject
        ]
        self.model.looks.pop(subject, None)
        for looks in self.model.looks.values():
            looks[:] = [
                (gone.pseudonym if reader == subject else reader, allowed)
                for reader, allowed in looks
            ]
        self.model.here.discard(subject)
        self.check_bytes()

    @rule(who=PERSON)
    def come_back(self, who: str) -> None:
        """Somebody of the same id is somebody new."""
        self.store.register(who, {ROLES[who]}, by=BOSS)
        self.model.here.add(who)

    def check_bytes(self) -> None:
        """Read every file beside the store."""
        files = [one for one in self.place.parent.rglob("*") if one.is_file()]
        data = b"".join(one.read_bytes() for one in files)
        assert BOSS.encode() in data
        for who in set(ROLES) - self.model.here:
            assert who.encode() not in data
        for secret in self.model.forbidden:
            assert secret not in data


People.TestCase.settings = settings(
    max_examples=12,
    stateful_step_count=30,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)


class TestPeople(People.TestCase):  # type: ignore[misc, name-defined]
    """Any sequence."""
