"""What the simulated operator says to what it hears."""

from __future__ import annotations

import random
from typing import Any

from voicecheck.checklists.loader import load
from voicecheck.demo.operator import SimulatedOperator
from voicecheck.round.answers import (
    Answer,
    Defect,
    Fault,
    Good,
    Level,
    LevelSeen,
    Severity,
)

CHECKLIST = load("wheel-loader")
CRACKED = Defect(fault=Fault.CRACKED, severity=Severity.MAJOR)


def operator(meant: dict[str, Answer]) -> tuple[SimulatedOperator, list[str]]:
    """An operator, and the list of what it says."""
    said: list[str] = []
    made = SimulatedOperator(
        CHECKLIST,
        meant,
        lambda phrase, _after_s, _attempt: said.append(phrase),
        "en",
        random.Random(1),
    )
    return made, said


def listening(question: str, checkpoint: str | None) -> dict[str, Any]:
    """The event that the program listens."""
    return {"question": question, "checkpoint": checkpoint}


def test_a_defect_is_told_in_parts() -> None:
    """Condition, fault, severity: each when asked."""
    made, said = operator({"bucket_welds": CRACKED})

    for question in ("condition", "fault", "severity"):
        made.watch("listening", listening(question, "bucket_welds"))

    assert said == ["defect", "cracked", "major"]


def test_a_wrong_read_back_is_refused_and_a_right_one_affirmed() -> None:
    """It compares what was read back with what it means."""
    made, said = operator({"bucket_welds": CRACKED})
    right = {"answer": "defect", "fault": "cracked", "severity": "major"}

    for value in (right | {"severity": "minor"}, right):
        made.watch("readback", {"checkpoint": "bucket_welds", "value": value})
        made.watch("listening", listening("yes_no", "bucket_welds"))

    assert said == ["no", "yes"]


def test_a_wrong_good_is_taken_back_at_the_next_question() -> None:
    """One word, at the next point; then the walk asks the old point again."""
    made, said = operator({"bucket_welds": CRACKED, "bucket_pins": Good()})
    made.watch("answer", {"checkpoint": "bucket_welds", "value": {"answer": "good"}})

    made.watch("listening", listening("condition", "bucket_pins"))
    made.watch("withdrawn", {"checkpoint": "bucket_welds"})
    made.watch("listening", listening("condition", "bucket_welds"))

    assert said == ["go back", "defect"]


def test_a_question_that_does_not_belong_is_taken_back() -> None:
    """Asked for a fault at a good point, it was misheard."""
    made, said = operator({"bucket_welds": Good()})

    made.watch("listening", listening("fault", "bucket_welds"))

    assert said == ["go back"]


def test_climbs_pauses_and_the_declaration_are_answered() -> None:
    """Feet down, carry on, yes."""
    made, said = operator({})
    made.watch("readback", {"checkpoint": None, "value": {"answer": "good"}})
    made.watch("decision", {})

    for question in ("climb", "paused", "yes_no"):
        made.watch("listening", listening(question, None))

    assert said == ["feet down", "carry on", "yes"]


def test_a_word_that_is_never_understood_is_given_up() -> None:
    """After a dozen tries the operator says that it cannot be checked: never good."""
    made, said = operator({"engine_oil_level": LevelSeen(level=Level.FULL)})

    for _ in range(13):
        made.watch("listening", listening("level", "engine_oil_level"))

    assert set(said[:12]) == {"full", "up to the mark"}
    assert said[12] == "cannot check"


def test_what_is_told_to_be_heard_better_is_said_from_then_on() -> None:
    """The short word first, the longer one once it was told; findings as before."""
    made, said = operator({"bucket_welds": Good(), "bucket_teeth": CRACKED})
    told = {"question": "condition", "meaning": "good", "phrase": "all in order"}

    made.watch("listening", listening("condition", "bucket_welds"))
    made.watch("heard_better", told)
    made.watch("listening", listening("condition", "bucket_welds"))
    made.watch("listening", listening("condition", "bucket_teeth"))

    assert said == ["good", "all in order", "defect"]
