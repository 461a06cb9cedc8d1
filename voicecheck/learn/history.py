"""What a learner has done so far, read from personal events."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from pydantic import ValidationError

from voicecheck.errors import LearnError
from voicecheck.learn.events import (
    Call,
    LearnEvent,
    Look,
    Order,
    Review,
    Said,
    Sitting,
)
from voicecheck.people.events import PersonalEvent

__all__ = ["PREFIX", "Done", "read"]

PREFIX = "learn/"
_KINDS: dict[str, type[LearnEvent]] = {
    model.kind: model for model in (Review, Call, Order, Look, Said, Sitting)
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """One thing that a learner did, and when."""

    at: datetime
    key: UUID
    event: LearnEvent


def read(events: Iterable[PersonalEvent]) -> tuple[Done, ...]:
    """Return what was done, by time; the same whatever order it came in.

    Args:
        events: of one person; those of other rooms are left out.

    Raises:
        LearnError: an event of practice that this version cannot read.
    """
    done = {
        one.key: Done(
            at=datetime.fromisoformat(one.at_utc), key=one.key, event=_of(one)
        )
        for one in events
        if one.kind.startswith(PREFIX)
    }
    return tuple(sorted(done.values(), key=lambda one: (one.at, one.key)))


def _of(one: PersonalEvent) -> LearnEvent:
    model = _KINDS.get(one.kind)
    if model is None:
        raise LearnError(
            f"a result of the kind {one.kind!r} cannot be read: it comes from a "
            "newer voicecheck; install that one"
        )
    try:
        return model.model_validate(one.body)
    except ValidationError as error:
        raise LearnError(
            f"the result {one.key} is damaged; report this ({error.error_count()} "
            "fields cannot be read)"
        ) from error
