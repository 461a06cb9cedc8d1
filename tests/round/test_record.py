"""The content of a record: what was found, in walking order, and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from voicecheck.round import answers as an
from voicecheck.round import events as ev
from voicecheck.round.checklist import Checklist
from voicecheck.round.record import CONTENT_FORMAT, answer_data, content
from voicecheck.round.walk import AskCheckpoint, Climb, SumUp, Walk
from voicecheck.testing.small_checklist import (
    bad_answers,
    good_answers,
    small_checklist,
)

CHECKLIST = small_checklist()
GOOD = good_answers()
BAD = bad_answers()


def walk_of(
    answers: Mapping[str, an.Answer],
    *,
    skip: str = "",
    checklist: Checklist = CHECKLIST,
    accepted: bool | None = True,
) -> Walk:
    """Return a walk with these answers, one point skipped at first."""
    walk = Walk(checklist)
    walk.apply(
        ev.WalkStarted(
            unit="L-12",
            operator="J.Doe",
            checklist=checklist.name,
            checklist_version=checklist.version,
            checklist_sha256=checklist.sha256,
        )
    )
    while not walk.over:
        match walk.task:
            case AskCheckpoint(checkpoint=point) if point.id not in answers:
                return walk
            case AskCheckpoint(checkpoint=point) if (
                point.id == skip and skip not in walk.skipped
            ):
                reason = an.Reason.TOO_DARK
                walk.apply(ev.CheckpointSkipped(checkpoint_id=skip, reason=reason))
            case AskCheckpoint(checkpoint=point):
                event = ev.AnswerConfirmed(
                    checkpoint_id=point.id, answer=answers[point.id]
                )
                walk.apply(event)
            case Climb(zone=zone):
                walk.apply(ev.ClimbDone(zone_id=zone.id))
            case SumUp():
                if accepted is None:
                    return walk
                walk.apply(ev.Declared(accepted=accepted))
    return walk


def test_content_of_a_signed_walk() -> None:
    """Head, status, hour meter, decision and declaration."""
    data = content(walk_of(GOOD))

    assert data["format"] == CONTENT_FORMAT
    assert (data["unit"], data["operator"]) == ("L-12", "J.Doe")
    assert data["checklist"]["sha256"] == CHECKLIST.sha256
    assert data["status"] == "signed"
    assert data["stop_checkpoint"] is None
    assert data["hour_meter"] == {"value": 4527.3, "unit": "h"}
    assert data["decision"]["outcome"] == "may_work"
    assert data["decision"]["rules"] == []
    assert "competent person" in data["decision"]["first"]
    assert data["declaration"] == {"accepted": True}
    assert data["findings"] == []


def test_answers_stand_in_walking_order_whatever_was_skipped() -> None:
    """A point that came back at the end gives the same content."""
    straight, skipped = walk_of(GOOD), walk_of(GOOD, skip="left_wheel")

    assert list(skipped.answers)[-1] == "left_wheel"
    assert content(skipped) == content(straight)
    assert [a["checkpoint"] for a in content(skipped)["answers"]] == [
        point.id for point in CHECKLIST.checkpoints
    ]


def test_findings_carry_severity_outcome_and_rules() -> None:
    """Each finding says what was answered and what follows from it."""
    found = {f["checkpoint"]: f for f in content(walk_of(BAD))["findings"]}

    assert found["left_wheel"] == {
        "checkpoint": "left_wheel",
        "zone": "left_side",
        "answer": "defect",
        "fault": "loose",
        "severity": "major",
        "kind": "defect",
        "outcome": "out_of_service",
        "rules": ["wheels_major"],
    }
    assert found["left_tyre"]["unit"] == "kPa"
    assert found["horn"]["rules"] == ["any_finding"]


def test_readings_carry_unit_and_state() -> None:
    """Each number with its unit, and where it lies against the limits."""
    readings = content(walk_of(BAD))["readings"]

    assert readings == [
        {
            "checkpoint": "hour_meter",
            "quantity": "duration",
            "value": 4527.3,
            "unit": "h",
            "state": "in_limits",
        },
        {
            "checkpoint": "left_tyre",
            "quantity": "pressure",
            "value": 350.0,
            "unit": "kPa",
            "state": "low",
        },
    ]


def test_a_stop_names_its_checkpoint() -> None:
    """The start check that was answered no."""
    data = content(walk_of({**GOOD, "parked": an.No()}))

    assert data["status"] == "stopped"
    assert data["stop_checkpoint"] == "parked"
    assert data["decision"]["outcome"] == "out_of_service"
    assert data["declaration"] == {"accepted": None}


@pytest.mark.parametrize("accepted", [None, False], ids=["not yet", "declined"])
def test_a_walk_that_is_not_signed_does_not_release(accepted: bool | None) -> None:
    """Unfinished or declined: out of service, by the rule that says so."""
    data = content(walk_of(GOOD, accepted=accepted))

    assert data["status"] == ("unfinished" if accepted is None else "declined")
    assert [r["rule"] for r in data["decision"]["rules"]] == ["walk_not_finished"]


def test_a_walk_that_has_not_begun_has_no_unit() -> None:
    """Content can be made at any moment."""
    data = content(Walk(CHECKLIST))

    assert (data["unit"], data["operator"], data["answers"]) == ("", "", [])


def test_without_an_hour_meter_there_is_none() -> None:
    """Not asked yet, or it could not be read."""
    reason = an.CouldNotCheck(reason=an.Reason.NO_ACCESS)

    assert content(walk_of({}))["hour_meter"] is None
    assert content(walk_of({**GOOD, "hour_meter": reason}))["hour_meter"] is None


def test_the_hour_meter_has_the_unit_of_its_point() -> None:
    """Whatever it counts in."""
    zone = CHECKLIST.zones[0]
    meter = zone.checkpoints[0]
    assert meter.reading is not None
    days = replace(meter, reading=replace(meter.reading, unit="d"))
    first = replace(zone, checkpoints=(days, *zone.checkpoints[1:]))
    checklist = replace(CHECKLIST, zones=(first, *CHECKLIST.zones[1:]))

    data = content(walk_of(GOOD, checklist=checklist))

    assert data["hour_meter"] == {"value": 4527.3, "unit": "d"}


@pytest.mark.parametrize(
    ("answer", "data"),
    [
        (an.Yes(), {"answer": "yes"}),
        (an.No(), {"answer": "no"}),
        (an.Good(), {"answer": "good"}),
        (an.NotFitted(), {"answer": "not_fitted"}),
        (
            an.Defect(fault=an.Fault.CUT, severity=an.Severity.MINOR),
            {"answer": "defect", "fault": "cut", "severity": "minor"},
        ),
        (
            an.Leak(fluid="fuel", leak_class=an.LeakClass.THREE),
            {"answer": "leak", "fluid": "fuel", "leak_class": "III"},
        ),
        (
            an.CouldNotCheck(reason=an.Reason.NO_TOOL),
            {"answer": "could_not_check", "reason": "no_tool"},
        ),
        (an.LevelSeen(level=an.Level.EMPTY), {"answer": "level", "level": "empty"}),
        (an.ReadingTaken(value=Decimal("1.5")), {"answer": "reading", "value": 1.5}),
    ],
)
def test_answers_as_data(answer: an.Answer, data: dict[str, Any]) -> None:
    """Each answer is its name and what belongs to it."""
    assert answer_data(answer) == data
