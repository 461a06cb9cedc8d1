"""Events as JSON objects and back, strictly: unknown keys are refused.

An event is an object with `type` (the name of its class in snake case) and the
event's own fields. Answers take the shape of `voicecheck.record.answer_json`.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any, get_args

from pydantic import TypeAdapter, ValidationError

from voicecheck.errors import JournalDamaged, JournalError
from voicecheck.record.answer_json import answer_from_json, answer_to_json
from voicecheck.record.canonical import canonical
from voicecheck.record.steps import JournalEvent
from voicecheck.round.checklist import Checklist
from voicecheck.round.events import AnswerConfirmed, How


def kind_of(event_type: type) -> str:
    """Return the name of an event's class in snake case."""
    return re.sub(r"(?<!^)(?=[A-Z])", "_", event_type.__name__).lower()


KINDS: dict[str, type] = {kind_of(member): member for member in get_args(JournalEvent)}
"""Every event that a journal can hold, by its kind."""


def event_to_json(event: JournalEvent) -> dict[str, Any]:
    """Return an event as a JSON object.

    Raises:
        JournalError: a value that JSON cannot hold, such as a reading with more
            than 15 digits.
    """
    kind = kind_of(type(event))
    if isinstance(event, AnswerConfirmed):
        try:
            answer = answer_to_json(event.answer)
        except ValueError as error:
            raise JournalError(f"{event.checkpoint_id}: {error}") from error
        fields = {"checkpoint_id": event.checkpoint_id, "answer": answer}
    else:
        fields = _adapter(KINDS[kind]).dump_python(event, mode="json")
    return {"type": kind, **fields}


def event_from_json(data: Mapping[str, Any]) -> JournalEvent:
    """Return the event that a JSON object stands for.

    Raises:
        JournalDamaged: no such kind, or fields that do not belong to it.
    """
    fields = dict(data)
    kind = fields.pop("type", None)
    if kind not in KINDS:
        raise JournalDamaged(
            f"the journal holds an event of unknown kind {kind!r}; "
            "a newer voicecheck may be able to read it"
        )
    if KINDS[kind] is AnswerConfirmed:
        return _answer_confirmed(fields)
    event: JournalEvent = _validated(KINDS[kind], fields, kind)
    return event


def how_to_json(how: How) -> dict[str, Any]:
    """Return how an answer came in; a level that is no number becomes null.

    Digital silence has a level of minus infinity, which JSON does not know.
    """
    data: dict[str, Any] = _adapter(How).dump_python(
        replace(
            how,
            confidence=_finite(how.confidence),
            after_prompt_s=_finite(how.after_prompt_s),
            noise_dbfs=_finite(how.noise_dbfs),
            snr_db=_finite(how.snr_db),
        ),
        mode="json",
    )
    if not how.barge_in:  # older journals do not know it
        del data["barge_in"]
    return data


def how_from_json(data: Mapping[str, Any]) -> How:
    """Return how an answer came in.

    Raises:
        JournalDamaged: fields that do not belong to it.
    """
    how: How = _validated(How, dict(data), "how")
    return how


def checklist_to_text(checklist: Checklist) -> str:
    """Return a whole checklist as canonical JSON text."""
    data = _adapter(Checklist).dump_python(checklist, mode="json")
    return canonical(data).decode()


def checklist_from_text(text: str) -> Checklist:
    """Return the checklist that `checklist_to_text` wrote.

    Raises:
        JournalDamaged: the text is not one.
    """
    try:
        checklist: Checklist = _adapter(Checklist).validate_json(text, extra="forbid")
    except ValidationError as error:
        raise JournalDamaged(f"a kept checklist is broken: {_first(error)}") from error
    return checklist


def _answer_confirmed(fields: dict[str, Any]) -> AnswerConfirmed:
    checkpoint_id = fields.get("checkpoint_id")
    if set(fields) != {"checkpoint_id", "answer"} or not isinstance(checkpoint_id, str):
        raise JournalDamaged(f"answer_confirmed cannot hold {fields}")
    try:
        answer = answer_from_json(fields["answer"])
    except ValueError as error:
        raise JournalDamaged(f"answer_confirmed: {error}") from error
    return AnswerConfirmed(checkpoint_id=checkpoint_id, answer=answer)


def _validated(wanted: type, fields: dict[str, Any], name: str) -> Any:
    try:
        return _adapter(wanted).validate_json(
            json.dumps(fields), extra="forbid", strict=True
        )
    except ValidationError as error:
        raise JournalDamaged(f"{name}: {_first(error)}") from error


def _first(error: ValidationError) -> str:
    problem = error.errors(include_url=False)[0]
    place = ".".join(str(part) for part in problem["loc"])
    return f"{place}: {problem['msg']}"


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None


@cache
def _adapter(wanted: type) -> TypeAdapter[Any]:
    return TypeAdapter(wanted)
