"""What is kept of a person: events that are only ever added."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from voicecheck.errors import PeopleError

MOST_BODY_BYTES = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonalEvent:
    """One thing that happened to a person's results."""

    key: UUID
    """Made by the writer; the same key is kept once, however often it comes."""
    subject: str
    """Id of the person whose result it is."""
    kind: str
    """Room, thing and version of the body, such as learn/review/1."""
    at_utc: str
    """When it happened: ISO 8601 in UTC with a final Z."""
    by: str
    """Id of the person who wrote it."""
    body: dict[str, Any]
    """JSON; its form is the business of the room that wrote it."""
    thread: str = ""
    """Id of what belongs together, such as one observation: a UUID, so that it names
    nobody. The assessor who
    wrote the first event of a thread sees all of it, the subject's appeal too."""


def thread_text(thread: str) -> str:
    """Return a thread in the one form in which threads are kept.

    Raises:
        PeopleError: it is no UUID, and might name somebody.
    """
    try:
        return str(UUID(thread)) if thread else ""
    except ValueError as error:
        raise PeopleError(f"a thread is a UUID, not {thread!r}; report this") from error


def body_text(body: dict[str, Any]) -> str:
    """Return a body in the one form in which bodies are kept and compared.

    Raises:
        PeopleError: it is no JSON, or too large.
    """
    try:
        text = json.dumps(
            body,
            sort_keys=True,
            ensure_ascii=False,
            allow_nan=False,
            separators=(",", ":"),
        )
        size = len(text.encode())
    except (TypeError, ValueError) as error:
        raise PeopleError(f"a result is no JSON ({error}); report this") from error
    if size > MOST_BODY_BYTES:
        raise PeopleError(
            f"a result has {size} bytes; at most {MOST_BODY_BYTES} are kept: shorten it"
        )
    return text
