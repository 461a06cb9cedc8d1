"""Observations in the store of personal results.

    with PeopleStore() as store:
        kept = Observations(store)
        begun = kept.begin(trainee="J.Doe", unit="L-12", checklist=..., ...)
        kept.add("J.Doe", marks)             in any order, as often as they come
        seen = kept.load("J.Doe", begun.observation, reader="C.Poe")

Who may read and write is decided by `voicecheck.people`; every look is written
down there.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from voicecheck.clock import Clock, SystemClock, utc_text
from voicecheck.errors import NotAllowed, ObserveError
from voicecheck.observe.events import (
    Appealed,
    Begun,
    Ended,
    Joined,
    ObserveEvent,
    Opened,
    Signed,
    Signing,
)
from voicecheck.observe.marks import Mark
from voicecheck.observe.observation import Observation, fold
from voicecheck.observe.own_walk import copied
from voicecheck.observe.scenario import problems
from voicecheck.observe.seal import Sealed
from voicecheck.observe.wire import PREFIX, from_personal, to_personal
from voicecheck.people.roles import Role
from voicecheck.people.store import PeopleStore
from voicecheck.round.checklist import Checklist

LEAST_PREFIX = 4


class Observations:
    """The observations of all trainees, as far as a reader may see them."""

    def __init__(self, store: PeopleStore, clock: Clock | None = None) -> None:
        self.store = store
        self._clock = clock or SystemClock()

    def begin(
        self,
        *,
        trainee: str,
        unit: str,
        checklist: Checklist,
        sealed: Sealed,
        by: str,
        language: str = "en",
    ) -> Begun:
        """Begin to watch a trainee; the scenario is sealed by now.

        Raises:
            ObserveError: the scenario does not fit the checklist, or somebody
                would judge themselves.
            NotAllowed: `by` is no assessor.
            PeopleError: one of the two is not registered.
        """
        wrong = problems(sealed.scenario, checklist)
        if wrong:
            raise ObserveError("; ".join(wrong))
        if trainee == by:
            raise ObserveError("nobody judges their own walk; ask another assessor")
        roles = self.store.person(by).roles
        if not roles & {Role.ASSESSOR, Role.SUPERVISOR}:
            raise NotAllowed(f"{by} is no assessor; a supervisor may make them one")
        begun = Begun(
            **self._new(uuid.uuid4(), by),
            trainee=trainee,
            unit=unit,
            checklist=checklist.name,
            checklist_version=checklist.version,
            checklist_sha256=checklist.sha256,
            commitment=sealed.commitment,
            language=language,
        )
        self.add(trainee, [begun])
        return begun

    def add(self, trainee: str, events: Sequence[ObserveEvent]) -> int:
        """Keep events, each key once; return how many were new.

        Marks may come late, in any order and again.

        Raises:
            PeopleError: a key was used for something else, or nobody is
                registered under that id.
            NotAllowed: the writer may not write there.
        """
        return self.store.append_all([to_personal(one, trainee) for one in events])

    def end(
        self,
        observation: Observation,
        *,
        by: str,
        sealed: Sealed,
        record: Mapping[str, Any] | None = None,
        reason: str = "",
    ) -> None:
        """End a walk and open the seal; take the trainee's record along.

        Args:
            observation: which one.
            by: the assessor.
            sealed: the scenario as it was sealed.
            record: what the trainee recorded, as a record's document; None: the
                marks alone tell.
            reason: why it was broken off; empty: walked to the end.

        Raises:
            ObserveError: the record is of another unit, checklist or person.
        """
        begun = started(observation)
        new: list[ObserveEvent] = []
        if record is not None:
            new.append(self._joined(begun, by, record))
        if observation.ended is None:
            head = self._new(begun.observation, by)
            new.append(Ended(**head, reason=reason))
        if observation.opened is None:
            head = self._new(begun.observation, by)
            new.append(Opened(**head, sealed=sealed.document))
        self.add(begun.trainee, new)

    def appeal(self, observation: Observation, *, by: str, text: str) -> None:
        """Keep that somebody does not agree, in their own words."""
        if not text.strip():
            raise ObserveError("say in a sentence what you do not agree with")
        begun = started(observation)
        head = self._new(begun.observation, by)
        self.add(begun.trainee, [Appealed(**head, text=text.strip())])

    def sign(self, observation: Observation, *, by: str, result_sha256: str) -> Signing:
        """Keep that the assessor or the trainee has seen the result.

        Raises:
            NotAllowed: somebody else would sign.
        """
        begun = started(observation)
        roles = {begun.by: Signing.ASSESSOR, begun.trainee: Signing.TRAINEE}
        if by not in roles:
            raise NotAllowed(f"only {begun.by} and {begun.trainee} sign this result")
        head = self._new(begun.observation, by)
        signed = Signed(**head, role=roles[by], result_sha256=result_sha256)
        self.add(begun.trainee, [signed])
        return signed.role

    def load(self, trainee: str, observation: UUID, reader: str) -> Observation:
        """Return an observation; the look is written down.

        Raises:
            ObserveError: there is none that the reader may see.
            NotAllowed: the reader may not see results of this person.
        """
        found = self.all_of(trainee, reader)
        for one in found:
            if one.observation == observation:
                return one
        raise ObserveError(f"{trainee} has no observation {observation} for {reader}")

    def all_of(self, trainee: str, reader: str) -> tuple[Observation, ...]:
        """Return the observations of a trainee, the newest first; a look."""
        events = [
            from_personal(kept) for kept in self.store.events(trainee, reader, PREFIX)
        ]
        ids = dict.fromkeys(event.observation for event in events)
        found = [fold(one, events) for one in ids]
        found = [one for one in found if one.begun is not None]
        return tuple(sorted(found, key=_begun_utc, reverse=True))

    def visible(
        self, reader: str, trainee: str | None = None
    ) -> tuple[Observation, ...]:
        """Return all observations that a reader may see, the newest first; a look.

        Args:
            reader: who looks.
            trainee: only of this one.

        Raises:
            PeopleError: nobody of that id is registered.
            NotAllowed: the reader may not see results of this trainee.
        """
        whose = [trainee] if trainee else self._trainees(reader)
        found = [one for person in whose for one in self.all_of(person, reader)]
        return tuple(sorted(found, key=_begun_utc, reverse=True))

    def find(self, reference: str, reader: str) -> Observation:
        """Return the observation that is meant.

        Args:
            reference: `J.Doe` for the newest of a trainee, or `J.Doe/3f2a` for the
                one whose id begins so.
            reader: who looks.

        Raises:
            ObserveError: none, or more than one.
        """
        trainee, _, prefix = reference.partition("/")
        if prefix and len(prefix) < LEAST_PREFIX:
            raise ObserveError(f"give at least {LEAST_PREFIX} letters after the slash")
        found = [
            one
            for one in self.all_of(trainee.strip(), reader)
            if str(one.observation).startswith(prefix.lower())
        ]
        if not found:
            raise ObserveError(
                f"{reader} sees no observation {reference}; begin one with "
                "`voicecheck observe begin`"
            )
        if prefix and len(found) > 1:
            raise ObserveError(f"{len(found)} observations begin so; give more of it")
        return found[0]

    def _trainees(self, reader: str) -> list[str]:
        own = self.store.person(reader)
        watches = own.roles & {Role.ASSESSOR, Role.SUPERVISOR}
        return [
            one.id
            for one in self.store.people(reader)
            if one.id == reader or (watches and Role.LEARNER in one.roles)
        ]

    def _joined(self, begun: Begun, by: str, record: Mapping[str, Any]) -> Joined:
        walk = copied(record)
        if walk["checklist_sha256"] != begun.checklist_sha256:
            raise ObserveError("that walk was on another checklist; name another one")
        if (walk["unit"], walk["operator"]) != (begun.unit, begun.trainee):
            raise ObserveError(
                f"that walk was on {walk['unit']} by {walk['operator'] or 'nobody'}, "
                f"not on {begun.unit} by {begun.trainee}; name another one"
            )
        head = self._new(begun.observation, by)
        return Joined(**head, walk_id=walk["walk_id"], walk=walk)

    def _new(self, observation: UUID, by: str) -> dict[str, Any]:
        return {
            "key": uuid.uuid4(),
            "observation": observation,
            "at_utc": utc_text(self._clock.now()),
            "by": by,
        }


def started(observation: Observation) -> Begun:
    """Return the beginning of an observation.

    Raises:
        ObserveError: it has not come in yet.
    """
    if observation.begun is None:
        raise ObserveError("the beginning of this observation is missing; begin anew")
    return observation.begun


def newest_mark(observation: Observation, by: str) -> Mark | None:
    """Return the mark that "undo" takes back: the newest one of this assessor."""
    mine = [mark for mark in observation.marks if mark.by == by]
    return mine[-1] if mine else None


def _begun_utc(observation: Observation) -> str:
    return observation.begun.at_utc if observation.begun else ""
