"""What may be written next into the story of a defect."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from voicecheck.defects.events import (
    DefectEvent,
    DefectFound,
    RepairChecked,
    RepairDone,
    RepairStarted,
    StillThere,
    UnitReleased,
)
from voicecheck.defects.story import Defect, DefectState, Happening
from voicecheck.errors import DefectError, JournalDamaged
from voicecheck.record.canonical import sha256_of

KINDS: dict[str, type] = {
    "found": DefectFound,
    "still_there": StillThere,
    "repair_started": RepairStarted,
    "repair_done": RepairDone,
    "repair_checked": RepairChecked,
    "unit_released": UnitReleased,
}
"""Every kind of event by its name in the store."""
_NAMES = {event: name for name, event in KINDS.items()}


def kind_of(event: DefectEvent) -> str:
    """Return the name of an event's kind in the store."""
    return _NAMES[type(event)]


def check_step(defect: Defect, event: DefectEvent, by: str) -> None:
    """Say why an event may not be written by a person.

    Raises:
        DefectError: it does not fit, or nobody is named; nothing is changed.
    """
    if not by.strip():
        raise DefectError("name who it was: --by J.Doe")
    state = defect.state
    name = f"defect {defect.defect_id[:8]} on {defect.unit}"
    match event:
        case RepairStarted() if state is not DefectState.FOUND:
            raise DefectError(f"{name} is {words(state)}: nothing to start")
        case RepairDone() if state not in (
            DefectState.FOUND,
            DefectState.BEING_REPAIRED,
        ):
            raise DefectError(f"{name} is {words(state)} already: check it")
        case RepairDone() if not event.done.strip():
            raise DefectError("say what was done: --what 'new hose fitted'")
        case RepairDone() if not 0 <= event.hours_h < 100_000:
            raise DefectError("hours of work are a number from 0 on, as --hours 1.5")
        case RepairChecked() if state is not DefectState.REPAIRED:
            raise DefectError(
                f"{name} is {words(state)}: it has to be repaired before it is checked"
            )
        case UnitReleased() if state is not DefectState.CHECKED:
            raise DefectError(
                f"{name} is {words(state)}: {defect.unit} is released when every "
                "defect that holds it is repaired and the repair is checked"
            )


def words(state: DefectState) -> str:
    """Return a state in words."""
    return state.value.replace("_", " ")


def written(
    defect_id: str,
    event: DefectEvent,
    *,
    at_utc: str,
    by: str,
    known: tuple[Happening, ...] = (),
) -> Happening:
    """Return the event as the next one of a story, with its hash.

    Args:
        defect_id: the defect.
        event: what happened.
        at_utc: when, as ISO 8601 with milliseconds and Z.
        by: who.
        known: the newest events that are known; empty for the first event.
    """
    seq = 1 + max((one.seq for one in known), default=0)
    previous = tuple(sorted(one.sha256 for one in known))
    return Happening(
        defect_id=defect_id,
        seq=seq,
        at_utc=at_utc,
        by=by,
        event=event,
        previous=previous,
        sha256=hash_of(defect_id, seq, at_utc, by, event, previous),
    )


def hash_of(
    defect_id: str,
    seq: int,
    at_utc: str,
    by: str,
    event: DefectEvent,
    previous: tuple[str, ...],
) -> str:
    """Return the hash over all that an event says."""
    return sha256_of(
        {
            "defect_id": defect_id,
            "seq": seq,
            "at_utc": at_utc,
            "by": by,
            "kind": kind_of(event),
            "event": event_data(event),
            "previous": list(previous),
        }
    )


def is_true(one: Happening) -> bool:
    """Tell whether an event still has the hash that it says."""
    expected = hash_of(
        one.defect_id, one.seq, one.at_utc, one.by, one.event, one.previous
    )
    return expected == one.sha256


def event_data(event: DefectEvent) -> dict[str, Any]:
    """Return the fields of an event as JSON data."""
    assert is_dataclass(event) and fields(event)
    data: dict[str, Any] = _adapter(KINDS[kind_of(event)]).dump_python(
        event, mode="json"
    )
    return data


def event_of(kind: str, text: str) -> DefectEvent:
    """Return the event that was kept as JSON text.

    Raises:
        JournalDamaged: it is none.
    """
    if kind not in KINDS:
        raise JournalDamaged(
            f"a defect holds an event of unknown kind {kind!r}; "
            "a newer voicecheck may be able to read it"
        )
    try:
        event: DefectEvent = _adapter(KINDS[kind]).validate_json(
            text, extra="forbid", strict=True
        )
    except ValidationError as error:
        raise JournalDamaged(f"an event of a defect is broken: {kind}") from error
    return event


@cache
def _adapter(wanted: type) -> TypeAdapter[Any]:
    return TypeAdapter(wanted)
