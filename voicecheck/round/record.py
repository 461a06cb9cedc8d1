"""The content of a record: what was found, not how it was said.

The same answers give the same content whether they were spoken or typed, in
whatever language; so nothing here holds times, words, modes or translations.
"""

from __future__ import annotations

from typing import Any

from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Leak,
    LevelSeen,
    ReadingTaken,
)
from voicecheck.round.checklist import Checkpoint
from voicecheck.round.decision import Decision, Finding, RuleHit, answer_name
from voicecheck.round.walk import Walk

CONTENT_FORMAT = "voicecheck-content/1"
HOUR_METER = "hour_meter"
"""Id of the checkpoint that stands at the head of a record."""


def content(walk: Walk) -> dict[str, Any]:
    """Return the content part of a record as JSON data.

    Answers stand in the order of the checklist, so that a point that was
    skipped and answered later gives the same content. Numbers are plain JSON
    numbers in the unit beside them.
    """
    started = walk.started
    checklist = walk.checklist
    return {
        "format": CONTENT_FORMAT,
        "unit": started.unit if started else "",
        "operator": started.operator if started else "",
        "checklist": {
            "name": checklist.name,
            "version": checklist.version,
            "sha256": checklist.sha256,
        },
        "status": walk.phase.value if walk.over else "unfinished",
        "stop_checkpoint": _stop_checkpoint(walk),
        "hour_meter": _hour_meter(walk),
        "answers": [
            _answer_entry(point, walk.answers[point.id])
            for point in checklist.checkpoints
            if point.id in walk.answers
        ],
        "findings": [_finding(walk, finding) for finding in walk.findings],
        "readings": _readings(walk),
        "decision": _decision(walk.decision),
        "declaration": {"accepted": walk.declared},
    }


def answer_data(answer: Answer) -> dict[str, Any]:
    """Return an answer as JSON data: `answer` and what belongs to it."""
    data: dict[str, Any] = {"answer": answer_name(answer)}
    match answer:
        case Defect():
            data["fault"] = answer.fault.value
            data["severity"] = answer.severity.value
        case Leak():
            data["fluid"] = answer.fluid
            data["leak_class"] = answer.leak_class.value
        case CouldNotCheck():
            data["reason"] = answer.reason.value
        case LevelSeen():
            data["level"] = answer.level.value
        case ReadingTaken():
            data["value"] = float(answer.value)
    return data


def _answer_entry(point: Checkpoint, answer: Answer) -> dict[str, Any]:
    entry = {"checkpoint": point.id, "zone": point.zone_id, **answer_data(answer)}
    if isinstance(answer, ReadingTaken) and point.reading is not None:
        entry["unit"] = point.reading.unit
    return entry


def _hour_meter(walk: Walk) -> dict[str, Any] | None:
    readings = (r for r in _readings(walk) if r["checkpoint"] == HOUR_METER)
    return next(
        ({"value": r["value"], "unit": r["unit"]} for r in readings),
        None,
    )


def _readings(walk: Walk) -> list[dict[str, Any]]:
    readings = []
    for point in walk.checklist.checkpoints:
        answer = walk.answers.get(point.id)
        if isinstance(answer, ReadingTaken) and point.reading is not None:
            readings.append(
                {
                    "checkpoint": point.id,
                    "quantity": point.reading.quantity,
                    "value": float(answer.value),
                    "unit": point.reading.unit,
                    "state": point.reading.state(answer.value).value,
                }
            )
    return readings


def _finding(walk: Walk, finding: Finding) -> dict[str, Any]:
    point = walk.checklist.checkpoint(finding.checkpoint_id)
    return {
        **_answer_entry(point, finding.answer),
        "kind": finding.kind.value,
        "severity": finding.severity.value,
        "outcome": finding.outcome.value,
        "rules": [hit.rule_id for hit in finding.rules],
    }


def _decision(decision: Decision) -> dict[str, Any]:
    return {
        "outcome": decision.outcome.value,
        "rules": [_rule(hit) for hit in decision.reasons],
        "first": (
            "The machine's manual, local law, the site's rules and a competent "
            "person come first."
        ),
    }


def _rule(hit: RuleHit) -> dict[str, Any]:
    return {
        "rule": hit.rule_id,
        "checkpoint": hit.checkpoint_id,
        "outcome": hit.outcome.value,
        "source": hit.source,
    }


def _stop_checkpoint(walk: Walk) -> str | None:
    for checkpoint_id, answer in walk.answers.items():
        if answer_name(answer) == "no":
            return checkpoint_id
    return None
