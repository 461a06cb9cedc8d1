"""One observation: the fold of its events.

The fold is a function of the set of events. Their order and repetitions make no
difference, since marks wait on a page while the connection is down.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar
from uuid import UUID

from voicecheck.observe.events import (
    Appealed,
    Begun,
    Ended,
    Happened,
    Joined,
    ObserveEvent,
    Opened,
    Signed,
    Signing,
)
from voicecheck.observe.marks import Mark, MarkKind, Retraction

_Event = TypeVar("_Event", bound=Happened)


class DoubtKind(StrEnum):
    """Why somebody should look again."""

    SEALS = "seals"
    """Begun with more than one seal; the first one counts."""
    KEYS = "keys"
    """Different events under one key."""
    WRITERS = "writers"
    """Written by somebody who may not; not counted."""
    NOT_ON_THE_WAY = "not_on_the_way"
    """A mark at a point that is not part of this walk; not counted."""
    NOT_RECORDED = "not_recorded"
    """Marked as called, recorded otherwise; the record counts."""
    AFTER_THE_END = "after_the_end"
    """Marks made after the walk had ended; counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """Something that does not fit."""

    kind: DoubtKind
    detail: str
    """A point, a key, or how many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """What is known of one watched walk."""

    observation: UUID
    begun: Begun | None = None
    """None: its beginning has not come in yet."""
    marks: tuple[Mark, ...] = ()
    """Those that stand, by the time they were made."""
    retracted: tuple[Mark, ...] = ()
    """Those that were taken back: kept, and counted nowhere."""
    ended: Ended | None = None
    joined: Joined | None = None
    opened: Opened | None = None
    appeals: tuple[Appealed, ...] = ()
    signatures: tuple[Signed, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    """What came in and does not fit."""

    def at(self, checkpoint: str) -> tuple[Mark, ...]:
        """Return the standing marks of one point, by time."""
        return tuple(mark for mark in self.marks if mark.checkpoint == checkpoint)

    def look(self, checkpoint: str) -> MarkKind | None:
        """Return how well a point was looked at: the newest mark that says so.

        Of two made in the same moment the worse one counts.
        """
        looks = [mark for mark in self.at(checkpoint) if mark.kind.is_look]
        if not looks:
            return None
        rank = [MarkKind.LOOKED, MarkKind.GLANCED, MarkKind.MISSED]
        return max(looks, key=lambda m: (m.when_utc, rank.index(m.kind))).kind


def fold(observation: UUID, events: Iterable[ObserveEvent]) -> Observation:
    """Return what the events of one observation make.

    Args:
        observation: whose; events of others are passed over.
        events: in any order, each as often as it came.
    """
    mine = _distinct(e for e in events if e.observation == observation)
    doubts = _doubles(mine)
    begun = _first(mine, Begun)
    mine, strange = _of_right(mine, begun)
    if strange:
        doubts.append(Doubt(kind=DoubtKind.WRITERS, detail=str(strange)))
    gone = {event.mark for event in mine if isinstance(event, Retraction)}
    marks = sorted((e for e in mine if isinstance(e, Mark)), key=_place)
    joined = _newest(mine, Joined)
    seals = {e.commitment for e in mine if isinstance(e, Begun)}
    if len(seals) > 1:
        doubts.append(Doubt(kind=DoubtKind.SEALS, detail=str(len(seals))))
    return Observation(
        observation=observation,
        begun=begun,
        marks=tuple(mark for mark in marks if mark.key not in gone),
        retracted=tuple(mark for mark in marks if mark.key in gone),
        ended=_newest(mine, Ended),
        joined=joined,
        opened=_first(mine, Opened),
        appeals=tuple(_by_time(mine, Appealed)),
        signatures=tuple(_by_time(mine, Signed)),
        doubts=tuple(sorted(doubts, key=lambda one: (one.kind, one.detail))),
    )


def _place(mark: Mark) -> tuple[str, UUID, str]:
    return mark.when_utc, mark.key, repr(mark)


def _of_right(
    events: list[ObserveEvent], begun: Begun | None
) -> tuple[list[ObserveEvent], int]:
    """Leave out what only the assessor, or who signs, may write; count it."""
    if begun is None:
        return events, 0
    signers = {Signing.ASSESSOR: begun.by, Signing.TRAINEE: begun.trainee}

    def right(event: ObserveEvent) -> bool:
        if isinstance(event, Signed):
            return event.by == signers[event.role]
        return isinstance(event, Begun | Appealed) or event.by == begun.by

    kept = [event for event in events if right(event)]
    return kept, len(events) - len(kept)


def _distinct(events: Iterable[ObserveEvent]) -> list[ObserveEvent]:
    """Leave out repetitions; what differs under one key stays, as a doubt."""
    return list({repr(event): event for event in events}.values())


def _doubles(events: list[ObserveEvent]) -> list[Doubt]:
    seen: dict[UUID, int] = {}
    for event in events:
        seen[event.key] = seen.get(event.key, 0) + 1
    return [
        Doubt(kind=DoubtKind.KEYS, detail=str(key))
        for key, count in seen.items()
        if count > 1
    ]


def _by_time(events: list[ObserveEvent], kind: type[_Event]) -> list[_Event]:
    mine = [event for event in events if isinstance(event, kind)]
    return sorted(mine, key=lambda event: (event.at_utc, event.key, repr(event)))


def _first(events: list[ObserveEvent], kind: type[_Event]) -> _Event | None:
    return next(iter(_by_time(events, kind)), None)


def _newest(events: list[ObserveEvent], kind: type[_Event]) -> _Event | None:
    return next(reversed(_by_time(events, kind)), None)
