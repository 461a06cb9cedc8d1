"""Events of observations as personal events and back, strictly.

kind      observe/mark/1, observe/retraction/1, observe/begun/1, ...
thread    id of the observation
subject   the trainee, whose result it is
by        who wrote it
body      the other fields; unknown keys are refused
"""

from __future__ import annotations

from dataclasses import fields
from datetime import datetime
from functools import cache
from typing import Any, cast

from pydantic import TypeAdapter, ValidationError

from voicecheck.clock import utc_text
from voicecheck.errors import ObserveError
from voicecheck.observe.events import (
    Appealed,
    Begun,
    Ended,
    Joined,
    ObserveEvent,
    Opened,
    Signed,
)
from voicecheck.observe.marks import Mark, Retraction, mark_problem
from voicecheck.people.events import PersonalEvent

PREFIX = "observe/"
KINDS: dict[str, type[ObserveEvent]] = {
    "observe/begun/1": Begun,
    "observe/mark/1": Mark,
    "observe/retraction/1": Retraction,
    "observe/ended/1": Ended,
    "observe/joined/1": Joined,
    "observe/opened/1": Opened,
    "observe/appeal/1": Appealed,
    "observe/signed/1": Signed,
}
"""Every event of an observation, by its kind."""

_NAMES = {event: kind for kind, event in KINDS.items()}
_OUTSIDE = ("key", "observation", "at_utc", "by")
"""Fields that a personal event has a place of its own for."""


def to_personal(event: ObserveEvent, trainee: str) -> PersonalEvent:
    """Return an event as it is kept with the results of a trainee."""
    data = _adapter(_NAMES[type(event)]).dump_python(event, mode="json")
    return PersonalEvent(
        key=event.key,
        subject=trainee,
        kind=_NAMES[type(event)],
        at_utc=event.at_utc,
        by=event.by,
        body={name: data[name] for name in data if name not in _OUTSIDE},
        thread=str(event.observation),
    )


def from_personal(kept: PersonalEvent) -> ObserveEvent:
    """Return the event that was kept.

    Raises:
        ObserveError: no such kind, or a body that does not belong to it.
    """
    if kept.kind not in KINDS:
        raise ObserveError(f"there is no event {kept.kind!r} in an observation")
    outside = {
        "key": kept.key,
        "observation": kept.thread,
        "at_utc": kept.at_utc,
        "by": kept.by,
    }
    return read_event(kept.kind, {**kept.body, **outside})


def read_event(kind: str, data: dict[str, Any]) -> ObserveEvent:
    """Return an event from JSON data, such as a mark that a page sends.

    Args:
        kind: one of `KINDS`.
        data: all fields of the event.

    Raises:
        ObserveError: a field is missing, unknown or not possible.
    """
    event = KINDS[kind]
    unknown = set(data) - {field.name for field in fields(event)}
    if unknown:
        raise ObserveError(f"{kind} does not take {', '.join(sorted(unknown))}")
    try:
        read = cast(ObserveEvent, _adapter(kind).validate_python(_timed(data)))
    except (ValidationError, ValueError) as error:
        raise ObserveError(f"{kind} cannot be read: {_first(error)}") from error
    problem = mark_problem(read) if isinstance(read, Mark) else None
    if problem:
        raise ObserveError(problem)
    return read


def _timed(data: dict[str, Any]) -> dict[str, Any]:
    """Write the time in the one form that compares as text."""
    moment = datetime.fromisoformat(str(data.get("at_utc")))
    if moment.tzinfo is None:
        raise ValueError("at_utc: a time says its zone, such as a final Z")
    return {**data, "at_utc": utc_text(moment)}


def _first(error: ValueError) -> str:
    if isinstance(error, ValidationError):
        first = error.errors(include_url=False)[0]
        return f"{' > '.join(str(step) for step in first['loc'])}: {first['msg']}"
    return str(error)


@cache
def _adapter(kind: str) -> TypeAdapter[Any]:
    return TypeAdapter(KINDS[kind])
