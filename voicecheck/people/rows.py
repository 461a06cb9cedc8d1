"""Rows of the tables as values, and values as rows."""

from __future__ import annotations

import json
from dataclasses import dataclass
from enum import StrEnum
from typing import Any
from uuid import UUID

from sqlalchemy import Row

from voicecheck.people.events import PersonalEvent, body_text, thread_text
from voicecheck.people.roles import Person, Role


class State(StrEnum):
    """What became of an event since it was kept."""

    WHOLE = "whole"
    REWRITTEN = "rewritten"
    """Somebody whom it names was erased."""
    ERASED = "erased"
    """Its subject was erased; only the key is left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Somebody has looked at a person's results, or tried to."""

    reader: str
    subject: str
    what: str
    """What was asked for, such as "results learn/"."""
    at_utc: str
    allowed: bool
    """False: it was refused, and nothing was shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Erasure:
    """Somebody was erased; what is left of them."""

    pseudonym: str
    """The name under which their work for others still stands."""
    at_utc: str
    by: str
    events: int
    """How many events lost their body."""


def event_values(event: PersonalEvent) -> dict[str, Any]:
    """Return an event as the columns of its table."""
    return {
        "key": str(event.key),
        "subject": event.subject,
        "kind": event.kind,
        "thread": thread_text(event.thread),
        "at_utc": event.at_utc,
        "by": event.by,
        "body": body_text(event.body),
        "state": State.WHOLE,
    }


def event_of(row: Row[Any]) -> PersonalEvent:
    """Return a row of the events as a value."""
    return PersonalEvent(
        key=UUID(row.key),
        subject=row.subject,
        kind=row.kind,
        thread=row.thread,
        at_utc=row.at_utc,
        by=row.by,
        body=json.loads(row.body),
    )


def person_of(row: Row[Any]) -> Person:
    """Return a row of the people as a value."""
    return Person(
        id=row.person_id,
        roles=frozenset(Role(name) for name in row.roles.split(",") if name),
        registered_utc=row.registered_utc,
        registered_by=row.registered_by,
    )


def look_of(row: Row[Any]) -> Look:
    """Return a row of the looks as a value."""
    return Look(
        reader=row.reader,
        subject=row.subject,
        what=row.what,
        at_utc=row.at_utc,
        allowed=bool(row.allowed),
    )


def roles_text(roles: frozenset[Role]) -> str:
    """Return roles as they are kept."""
    return ",".join(sorted(role.value for role in roles))
