"""Marks that a page sends: each is kept once, or refused with the reason.

The page sends again whatever it got no answer for, so the same events come twice,
late, and in any order. A batch is kept as a whole; when one event of it cannot be
kept, each is tried by itself, so that one wrong mark holds up no other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any, Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Field

from voicecheck.errors import NotAllowed, ObserveError, PeopleError
from voicecheck.observe.keeping import Observations
from voicecheck.observe.marks import NOTE_CHARACTERS, Mark, MarkWay, Retraction
from voicecheck.observe.wire import read_event

MOST_EVENTS = 50
MOST_SKEW_S = 366 * 86_400.0

_Skew = Annotated[float, Field(ge=-MOST_SKEW_S, le=MOST_SKEW_S, allow_inf_nan=False)]
_Known = Literal[
    "looked", "glanced", "missed", "out_of_order", "unsafe", "called", "real_fault"
]


class PageEvent(BaseModel):
    """A mark, or the taking back of one, as the page sends it."""

    model_config = ConfigDict(extra="forbid")

    key: UUID
    at_utc: datetime
    """By the clock of the tablet."""
    skew_s: _Skew = 0.0
    """How far that clock was ahead of this one."""
    kind: _Known | None = None
    """None: it takes a mark back."""
    takes_back: UUID | None = None
    checkpoint: Annotated[str, Field(max_length=100)] | None = None
    act: Annotated[str, Field(max_length=40)] | None = None
    severity: Annotated[str, Field(max_length=20)] | None = None
    leak_class: Annotated[str, Field(max_length=5)] | None = None
    note: Annotated[str, Field(max_length=NOTE_CHARACTERS)] = ""


class Batch(BaseModel):
    """Some events, and when they left."""

    model_config = ConfigDict(extra="forbid")

    sent_utc: datetime
    events: Annotated[list[PageEvent], Field(max_length=MOST_EVENTS)]


class Refused(BaseModel):
    """An event that is not kept here."""

    key: UUID
    why: str


class Answer(BaseModel):
    """What became of a batch; the page forgets only what is named here."""

    kept: list[UUID]
    refused: list[Refused]
    now_utc: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the events of a batch belong."""

    trainee: str
    observation: UUID
    by: str
    checkpoints: frozenset[str]


def take_in(
    events: Sequence[PageEvent], place: Place, observations: Observations, now_utc: str
) -> Answer:
    """Keep a batch; say of each event what became of it."""
    read: list[Mark | Retraction] = []
    refused: list[Refused] = []
    for event in events:
        try:
            read.append(_event(event, place))
        except ObserveError as error:
            refused.append(Refused(key=event.key, why=str(error)))
    kept, more = _keep(read, place, observations)
    return Answer(kept=kept, refused=[*refused, *more], now_utc=now_utc)


def _keep(
    read: Sequence[Mark | Retraction], place: Place, observations: Observations
) -> tuple[list[UUID], list[Refused]]:
    try:
        observations.add(place.trainee, read)
        return [event.key for event in read], []
    except NotAllowed:
        raise
    except PeopleError as error:
        if len(read) <= 1:
            return [], [Refused(key=event.key, why=str(error)) for event in read]
    kept: list[UUID] = []
    refused: list[Refused] = []
    for event in read:
        one, other = _keep([event], place, observations)
        kept += one
        refused += other
    return kept, refused


def _event(event: PageEvent, place: Place) -> Mark | Retraction:
    head: dict[str, Any] = {
        "key": event.key,
        "observation": place.observation,
        "at_utc": event.at_utc.isoformat(),
        "by": place.by,
        "skew_s": event.skew_s,
    }
    if event.takes_back is not None:
        if event.kind is not None:
            raise ObserveError("an event is a mark or takes one back, not both")
        back = read_event("observe/retraction/1", {**head, "mark": event.takes_back})
        assert isinstance(back, Retraction)
        return back
    if event.checkpoint is not None and event.checkpoint not in place.checkpoints:
        raise ObserveError(f"the checklist has no point {event.checkpoint!r}")
    told = event.model_dump(
        include={"kind", "checkpoint", "act", "severity", "leak_class", "note"}
    )
    mark = read_event("observe/mark/1", {**head, **told, "way": MarkWay.PAGE})
    assert isinstance(mark, Mark)
    return mark
