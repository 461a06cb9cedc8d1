"""The record of a walk as one JSON document.

    format           "voicecheck-record/1"
    record_id        id of the walk
    content          what was found: the same for a spoken and a typed walk
    content_sha256   of the canonical JSON (RFC 8785) of `content`
    walk             times, mode, version, counts, and the head of the journal
    how              how each answer came in, in the order given
    skips            points left for later
    observations     what else happened, such as silence or a lost microphone
    notes            spoken notes by the hash of their sound, typed ones by text
    noise            how loud it was, where a microphone was listened to
    words            the texts that one needs to read the record years later

The document is a function of the journal alone, so making it again gives the
same bytes. Its schema is `record.schema.json` beside this module.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import fields
from datetime import datetime
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

from voicecheck.record.answer_json import answer_to_json
from voicecheck.record.canonical import sha256_of
from voicecheck.record.noise import noise
from voicecheck.record.steps import Aside, JournalHead, SittingBegan, Step
from voicecheck.record.words import words
from voicecheck.round import events as ev
from voicecheck.round.record import content
from voicecheck.round.walk import Walk

FORMAT = "voicecheck-record/1"


def record_document(
    record_id: str, walk: Walk, steps: Sequence[Step], head: JournalHead
) -> dict[str, Any]:
    """Return the record of a walk that is over.

    Args:
        record_id: the id of the walk.
        walk: the walk that the steps make.
        steps: everything in its journal, in order; the first one starts it.
        head: the newest entry of its journal.

    Raises:
        ValueError: the walk is not over, or there are no steps.
    """
    if not walk.over or not steps:
        raise ValueError("a record is made of a walk that is over")
    content_data = content(walk)
    return {
        "format": FORMAT,
        "record_id": record_id,
        "content": content_data,
        "content_sha256": sha256_of(content_data),
        "walk": _walk(walk, steps, head),
        "how": _how(steps),
        "skips": [
            {
                "checkpoint": step.event.checkpoint_id,
                "at_utc": step.at_utc,
                "reason": step.event.reason.value,
            }
            for step in _standing_skips(steps)
            if isinstance(step.event, ev.CheckpointSkipped)
        ],
        "observations": [
            {
                "at_utc": step.at_utc,
                "kind": step.event.kind,
                "checkpoint": step.event.checkpoint_id,
                "detail": step.event.detail,
            }
            for step in steps
            if isinstance(step.event, ev.Observed)
        ],
        "notes": [
            {
                "at_utc": step.at_utc,
                "checkpoint": step.event.checkpoint_id,
                "clip_sha256": step.event.clip_sha256 or None,
                "seconds": step.event.seconds,
                "text": step.event.text,
            }
            for step in steps
            if isinstance(step.event, ev.NoteKept)
        ],
        **noise(steps),
        "words": words(walk, _asked(steps)),
    }


def to_text(document: dict[str, Any]) -> str:
    """Return a document as the text of its file, readable for people."""
    return json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


@cache
def schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a record."""
    text = files(__package__).joinpath("record.schema.json").read_text("utf-8")
    data: dict[str, Any] = json.loads(text)
    return data


def _walk(walk: Walk, steps: Sequence[Step], head: JournalHead) -> dict[str, Any]:
    sittings = [step.event for step in steps if isinstance(step.event, SittingBegan)]
    newest = sittings[-1] if sittings else None
    first, last = steps[0], _ending(steps)
    return {
        "started_utc": first.at_utc,
        "ended_utc": last.at_utc,
        "duration_s": _seconds(first, last),
        "paused_s": _paused_s(steps),
        "language": newest.language if newest else walk.checklist.language,
        "mode": newest.mode if newest else None,
        "tool_version": newest.tool_version if newest else None,
        "sittings": [
            {
                "at_utc": step.at_utc,
                "mode": step.event.mode,
                "language": step.event.language,
                "tool_version": step.event.tool_version,
            }
            for step in steps
            if isinstance(step.event, SittingBegan)
        ],
        "stop_reason": walk.stop_reason or None,
        "counts": _counts(steps),
        "journal": {"entries": head.seq, "head_sha256": head.sha256},
    }


def _ending(steps: Sequence[Step]) -> Step:
    """The step that ended the walk: nothing but observations can follow it."""
    return next(step for step in reversed(steps) if not isinstance(step.event, Aside))


def _counts(steps: Sequence[Step]) -> dict[str, Any]:
    kinds = Counter(type(step.event) for step in steps)
    observed = Counter(
        step.event.kind for step in steps if isinstance(step.event, ev.Observed)
    )
    return {
        "answers": kinds[ev.AnswerConfirmed],
        "withdrawn": kinds[ev.AnswerWithdrawn],
        "skipped": len(_standing_skips(steps)),
        "pauses": kinds[ev.WalkPaused],
        "notes": kinds[ev.NoteKept],
        "too_fast": sum(1 for step in steps if step.how and step.how.too_fast),
        "noinput": observed["noinput"],
        "nomatch": observed["nomatch"],
        "observed": dict(sorted(observed.items())),
    }


def _standing_skips(steps: Sequence[Step]) -> list[Step]:
    """The skips that were not taken back."""
    skips: list[Step] = []
    for step in steps:
        if isinstance(step.event, ev.CheckpointSkipped):
            skips.append(step)
        elif isinstance(step.event, ev.SkipWithdrawn):
            skips.pop()  # only the newest one can be taken back
    return skips


def _how(steps: Sequence[Step]) -> list[dict[str, Any]]:
    entries: list[dict[str, Any]] = []
    standing: dict[str, dict[str, Any]] = {}
    for step in steps:
        if isinstance(step.event, ev.AnswerConfirmed):
            entry = {
                "checkpoint": step.event.checkpoint_id,
                "at_utc": step.at_utc,
                "answer": answer_to_json(step.event.answer),
                "withdrawn": False,
                **_how_fields(step.how),
            }
            entries.append(entry)
            standing[step.event.checkpoint_id] = entry
        elif isinstance(step.event, ev.AnswerWithdrawn):
            standing.pop(step.event.checkpoint_id)["withdrawn"] = True
    return entries


def _how_fields(how: ev.How | None) -> dict[str, Any]:
    """The fields of `How`; all null when it is not known how an answer came in."""
    names = [f.name for f in fields(ev.How) if f.name != "barge_in"]
    if how is None:
        return dict.fromkeys(names)
    if how.barge_in:
        names.append("barge_in")
    return {**{name: getattr(how, name) for name in names}, "words": list(how.words)}


def _asked(steps: Sequence[Step]) -> frozenset[str]:
    """The checkpoints that the record speaks of."""
    named = (getattr(step.event, "checkpoint_id", None) for step in steps)
    return frozenset(name for name in named if name)


def _paused_s(steps: Sequence[Step]) -> float:
    """Seconds in which the walk stood still: paused, or the program not running."""
    total_s = 0.0
    paused = False
    for before, step in pairwise(steps):
        if isinstance(before.event, ev.WalkPaused | ev.WalkResumed):
            paused = isinstance(before.event, ev.WalkPaused)
        returned = isinstance(step.event, SittingBegan) and before is not steps[0]
        if paused or returned:
            total_s += _seconds(before, step)
    return round(total_s, 3)


def _seconds(start: Step, end: Step) -> float:
    """Seconds by the wall clock; 0 when it was set back in between."""
    delta = datetime.fromisoformat(end.at_utc) - datetime.fromisoformat(start.at_utc)
    return max(0.0, round(delta.total_seconds(), 3))
