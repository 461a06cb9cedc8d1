"""The operator of simulated walks: what it does about wrong answers."""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Any

import pytest

from voicecheck.bench.walks_operator import WalkOperator
from voicecheck.checklists.loader import load
from voicecheck.round.answers import Answer, Defect, Fault, Good, Severity
from voicecheck.round.record import answer_data

CHECKLIST = load("wheel-loader", "en")
FIRST, SECOND = [p.id for p in CHECKLIST.checkpoints if p.kind == "condition"][:2]
DEFECT = Defect(fault=Fault.CUT, severity=Severity.MINOR)


class Walker:
    """An operator whose words are kept."""

    def __init__(self, *, objects: bool) -> None:
        meant: Mapping[str, Answer] = {FIRST: DEFECT, SECOND: Good()}
        self.operator = WalkOperator(
            CHECKLIST, meant, self._say, random.Random(1), objects=objects
        )
        self.after_s: list[float] = []

    def _say(self, phrase: str, after_s: float, attempt: int) -> None:
        self.after_s.append(after_s)

    def records(self, checkpoint: str, answer: Answer) -> None:
        """Let the program record something."""
        data = {"checkpoint": checkpoint, "value": answer_data(answer)}
        self.operator.watch("answer", data)

    def asked(self, question: str, checkpoint: str) -> str:
        """Ask, and return what the operator says."""
        data: dict[str, Any] = {"question": question, "checkpoint": checkpoint}
        self.operator.watch("listening", data)
        return self.operator.said[-1]


def test_a_wrong_answer_is_taken_back() -> None:
    """At the next question, whatever it is."""
    walker = Walker(objects=True)

    walker.records(FIRST, Good())

    assert walker.asked("condition", SECOND) in ("go back", "correction")


def test_it_is_taken_back_until_it_is_gone() -> None:
    """Though "go back" was taken for another answer in between."""
    walker = Walker(objects=True)
    walker.records(FIRST, Good())
    walker.records(SECOND, Good())

    walker.operator.watch("withdrawn", {"checkpoint": SECOND})
    assert walker.asked("condition", SECOND) in ("go back", "correction")
    walker.operator.watch("withdrawn", {"checkpoint": FIRST})
    assert walker.asked("condition", FIRST) == "defect"


def test_one_who_never_objects_goes_on() -> None:
    """The wrong answer stays."""
    walker = Walker(objects=False)

    walker.records(FIRST, Good())

    assert walker.asked("condition", SECOND) == "good"


@pytest.mark.parametrize("objects", [True, False])
def test_a_wrong_read_back_is_always_denied(objects: bool) -> None:
    """Explicit read-backs are answered right by everybody."""
    walker = Walker(objects=objects)
    wrong = {"checkpoint": FIRST, "value": answer_data(Good()), "text": "good?"}

    walker.operator.watch("readback", wrong)

    assert walker.asked("yes_no", FIRST) == "no"


def test_nobody_signs_while_a_noticed_mistake_stands() -> None:
    """The declaration is answered with "go back"."""
    walker = Walker(objects=True)
    walker.records(SECOND, DEFECT)

    walker.operator.watch("decision", {"outcome": "run"})

    assert walker.asked("yes_no", "") in ("go back", "correction")


def test_looking_takes_less_than_two_seconds() -> None:
    """The time of a look is noise alone, and costs computing."""
    walker = Walker(objects=True)

    walker.asked("condition", FIRST)

    assert 0.3 <= walker.after_s[-1] < 2.0
