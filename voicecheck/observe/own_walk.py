"""The trainee's own record of the walk, as much of it as a judgement needs.

It is copied into the observation, so that a result can be worked out again when
the journal's copy has long been purged.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from voicecheck.record.answer_json import answer_from_json
from voicecheck.round.answers import Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnAnswer:
    """One answer that stands at the end of the walk."""

    checkpoint: str
    answer: Answer
    at_utc: str
    too_fast: bool
    """A "good" faster than a person could have looked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnWalk:
    """What the trainee recorded with the voice assistant or the form."""

    walk_id: str
    operator: str
    unit: str
    checklist_sha256: str
    started_utc: str
    ended_utc: str
    status: str
    content_sha256: str
    answers: tuple[OwnAnswer, ...]
    """In the order in which they were given."""

    def at(self, checkpoint: str) -> OwnAnswer | None:
        """Return what was answered at a point, or None."""
        return next((a for a in self.answers if a.checkpoint == checkpoint), None)


def copied(document: Mapping[str, Any]) -> dict[str, Any]:
    """Return the part of a record that an observation keeps, as JSON data.

    Args:
        document: a record that follows `voicecheck/record/record.schema.json`.
    """
    content, walk = document["content"], document["walk"]
    return {
        "walk_id": document["record_id"],
        "operator": content["operator"],
        "unit": content["unit"],
        "checklist_sha256": content["checklist"]["sha256"],
        "started_utc": walk["started_utc"],
        "ended_utc": walk["ended_utc"],
        "status": content["status"],
        "content_sha256": document["content_sha256"],
        "answers": [
            {
                "checkpoint": entry["checkpoint"],
                "answer": entry["answer"],
                "at_utc": entry["at_utc"],
                "too_fast": bool(entry["too_fast"]),
            }
            for entry in document["how"]
            if not entry["withdrawn"]
        ],
    }


def own_walk(data: Mapping[str, Any]) -> OwnWalk:
    """Return a copied walk as values.

    Raises:
        ValueError: the data is no copied walk.
    """
    try:
        return OwnWalk(
            walk_id=str(data["walk_id"]),
            operator=str(data["operator"]),
            unit=str(data["unit"]),
            checklist_sha256=str(data["checklist_sha256"]),
            started_utc=str(data["started_utc"]),
            ended_utc=str(data["ended_utc"]),
            status=str(data["status"]),
            content_sha256=str(data["content_sha256"]),
            answers=tuple(
                OwnAnswer(
                    checkpoint=str(entry["checkpoint"]),
                    answer=answer_from_json(entry["answer"]),
                    at_utc=str(entry["at_utc"]),
                    too_fast=bool(entry["too_fast"]),
                )
                for entry in data["answers"]
            ),
        )
    except (KeyError, TypeError) as error:
        raise ValueError(f"this is no copied walk: {error!r}") from error
