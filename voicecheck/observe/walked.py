"""What is known of each point after the walk, from the marks and the own record.

Where the trainee recorded the walk, the record says what was called; the marks
say how it was looked at. Without a record the marks say both, and a point that
nobody marked counts as not looked at: silence is no "good".
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from voicecheck.observe.marks import Mark, MarkKind
from voicecheck.observe.observation import Observation
from voicecheck.observe.own_walk import OwnAnswer, OwnWalk, own_walk
from voicecheck.observe.scenario import Scenario
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    LeakClass,
    NotFitted,
    Severity,
)
from voicecheck.round.checklist import Checklist, Checkpoint, CheckpointKind
from voicecheck.round.decision import FindingKind, findings


class Look(StrEnum):
    """How a point was looked at."""

    LOOKED = "looked"
    ANSWERED = "answered"
    """Answered in the own record, and the assessor did not object."""
    GLANCED = "glanced"
    MISSED = "missed"
    COULD_NOT = "could_not"
    """Answered that it could not be looked at."""
    UNMARKED = "unmarked"
    """Nobody says anything of it."""

    @property
    def proper(self) -> bool:
        """Tell whether it counts as looked at."""
        return self in (Look.LOOKED, Look.ANSWERED)


class Basis(StrEnum):
    """Where it is known from what the trainee called."""

    RECORD = "record"
    MARKS = "marks"


@dataclass(frozen=True, slots=True, kw_only=True)
class PointSeen:
    """One point of the walk."""

    checkpoint: str
    zone: str
    look: Look
    called: bool
    """The trainee said that something is wrong."""
    said: Answer | None = None
    """The answer of the own record."""
    severity: Severity | None = None
    """As the trainee said it, or as the rules make it of the answer."""
    leak_class: LeakClass | None = None
    out_of_order: bool = False
    detectable: bool = True
    """Something can be wrong here that a trainee could call."""
    walked: bool = False
    """The trainee was there: for a point without a fault, a trial. Who passed it by
    and answered "good" all the same has shown nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """When a point was first dealt with."""

    checkpoint: str
    zone: str
    at_utc: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """All points in the order of the checklist, and the order walked."""

    points: tuple[PointSeen, ...]
    visits: tuple[Visit, ...]
    basis: Basis
    order_basis: Basis
    """What the order and the times are taken from: whichever saw more points."""
    started_utc: str | None
    ended_utc: str | None

    def at(self, checkpoint: str) -> PointSeen:
        """Return one point; KeyError when it is not on the way."""
        for point in self.points:
            if point.checkpoint == checkpoint:
                return point
        raise KeyError(checkpoint)


def walked(
    observation: Observation, checklist: Checklist, scenario: Scenario
) -> Walked:
    """Put together what is known of a walk.

    Points that the scenario leaves out, and points that the trainee's record
    calls not fitted, are not on the way.
    """
    own = own_walk(observation.joined.walk) if observation.joined else None
    absent = {
        answer.checkpoint
        for answer in (own.answers if own else ())
        if isinstance(answer.answer, NotFitted)
        and scenario.at(answer.checkpoint) is None
    }
    points = [
        point
        for point in checklist.checkpoints
        if point.id not in scenario.left_out and point.id not in absent
    ]
    basis = Basis.RECORD if own else Basis.MARKS
    marked, recorded = _marked(observation, points), _recorded(own, points)
    order_basis = Basis.MARKS if len(marked) >= len(recorded) else Basis.RECORD
    visits = marked if order_basis is Basis.MARKS else recorded
    by_record = order_basis is Basis.RECORD and own is not None
    return Walked(
        points=tuple(_seen(observation, checklist, p, own) for p in points),
        visits=visits,
        basis=basis,
        order_basis=order_basis,
        started_utc=own.started_utc if by_record and own else _first(visits),
        ended_utc=own.ended_utc if by_record and own else _end(observation),
    )


def called_severity(
    checklist: Checklist, checkpoint: str, answer: Answer
) -> Severity | None:
    """Return the severity of an answer alone, as said or as the rules make it."""
    found = findings(checklist, {checkpoint: answer})
    return found[0].severity if found else None


def is_call(checklist: Checklist, checkpoint: str, answer: Answer) -> bool:
    """Tell whether an answer says that something is wrong."""
    found = findings(checklist, {checkpoint: answer})
    return bool(found) and found[0].kind is not FindingKind.NOT_CHECKED


def _seen(
    observation: Observation,
    checklist: Checklist,
    point: Checkpoint,
    own: OwnWalk | None,
) -> PointSeen:
    marks = observation.at(point.id)
    calls = [mark for mark in marks if mark.kind is MarkKind.CALLED]
    said = own.at(point.id) if own else None
    look = _look(observation, point.id, marks, said)
    severity, leak_class = None, None
    called = bool(calls)
    if own is not None:
        called = said is not None and is_call(checklist, point.id, said.answer)
        if said is not None and called:
            severity = called_severity(checklist, point.id, said.answer)
            leak_class = getattr(said.answer, "leak_class", None)
    elif calls:
        severity, leak_class = calls[-1].severity, calls[-1].leak_class
    return PointSeen(
        checkpoint=point.id,
        zone=point.zone_id,
        look=look,
        called=called,
        said=said.answer if said else None,
        severity=severity,
        leak_class=leak_class,
        out_of_order=any(mark.kind is MarkKind.OUT_OF_ORDER for mark in marks),
        detectable=_detectable(point),
        walked=_was_there(look, said, own),
    )


def _look(
    observation: Observation,
    checkpoint: str,
    marks: tuple[Mark, ...],
    said: OwnAnswer | None,
) -> Look:
    marked = observation.look(checkpoint)
    if marked is not None:
        return Look(marked.value)
    if any(m.kind in (MarkKind.OUT_OF_ORDER, MarkKind.CALLED) for m in marks):
        return Look.LOOKED
    if said is None:
        return Look.UNMARKED
    if isinstance(said.answer, CouldNotCheck):
        return Look.COULD_NOT
    return Look.GLANCED if said.too_fast else Look.ANSWERED


def _was_there(look: Look, said: OwnAnswer | None, own: OwnWalk | None) -> bool:
    if own is not None and said is not None and look is not Look.MISSED:
        return not isinstance(said.answer, CouldNotCheck)
    return look in (Look.LOOKED, Look.GLANCED)


def _detectable(point: Checkpoint) -> bool:
    """Start checks end a walk; a reading without limits is never wrong."""
    if point.kind is CheckpointKind.START:
        return False
    spec = point.reading
    if point.kind is not CheckpointKind.READING or spec is None:
        return True
    limits = (spec.far_low, spec.low, spec.high, spec.far_high)
    return any(limit is not None for limit in limits)


def _marked(observation: Observation, points: list[Checkpoint]) -> tuple[Visit, ...]:
    """The first mark of each point that says that the trainee was there."""
    zones = {point.id: point.zone_id for point in points}
    there = {
        MarkKind.LOOKED,
        MarkKind.GLANCED,
        MarkKind.OUT_OF_ORDER,
        MarkKind.CALLED,
    }
    first: dict[str, str] = {}
    for mark in observation.marks:
        if mark.kind in there and mark.checkpoint in zones:
            first.setdefault(mark.checkpoint, mark.when_utc)
    return tuple(Visit(checkpoint=p, zone=zones[p], at_utc=t) for p, t in first.items())


def _recorded(own: OwnWalk | None, points: list[Checkpoint]) -> tuple[Visit, ...]:
    zones = {point.id: point.zone_id for point in points}
    return tuple(
        Visit(checkpoint=a.checkpoint, zone=zones[a.checkpoint], at_utc=a.at_utc)
        for a in (own.answers if own else ())
        if a.checkpoint in zones
    )


def _first(visits: tuple[Visit, ...]) -> str | None:
    return visits[0].at_utc if visits else None


def _end(observation: Observation) -> str | None:
    return observation.ended.at_utc if observation.ended else None
