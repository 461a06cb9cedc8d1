"""Figures of simulated walks: bounds, intervals, sums."""

from __future__ import annotations

from typing import Any

import pytest

from voicecheck.bench.walks_result import Cell, sum_up, upper_bound
from voicecheck.bench.walks_row import Misheard, WalkRow, WrongEntry
from voicecheck.bench.walks_table import as_text

HIDDEN = WrongEntry(
    checkpoint="left_front_tread",
    meant={"kind": "defect", "fault": "cut", "severity": "minor"},
    recorded={"kind": "good"},
    hidden_finding=True,
    path=('says "defect"', 'hears "good" 0.990: accept'),
)


def row(**changes: Any) -> WalkRow:
    """Return a walk of three answers in four turns."""
    data: dict[str, Any] = {
        "run": "r",
        "number": 0,
        "kind": "idle",
        "snr_db": 10.0,
        "side": "judging",
        "voice": "piper/a/1",
        "enrolled": False,
        "objects": True,
        "ended": "signed",
        "points": 3,
        "answers": 3,
        "spoken": 5,
        "turns": (1, 2, 1),
        "least_turns": 3,
        "other_turns": 1,
        "wrong": (),
        "given_up": (),
        "counts": {"paused": 2},
        "misheard": (),
        "by_program": 0,
        "cpu_s": 1.5,
    }
    return WalkRow(**(data | changes))


def cell(result: Any, condition: str) -> Cell:
    """Return the row of the table for a noise."""
    (found,) = [c for c in result.cells if c.condition == condition]
    return found  # type: ignore[no-any-return]


def test_nothing_wrong_is_bounded_by_the_rule_of_three() -> None:
    """Hanley and Lippman-Hand 1983, JAMA 249: 0 of 14 leaves 3/14, about 21 %."""
    assert upper_bound(0, 14) == pytest.approx(0.214, abs=0.001)
    assert upper_bound(0, 5000) == pytest.approx(0.0006)


def test_without_answers_nothing_is_known() -> None:
    """The share may be anything."""
    assert upper_bound(0, 0) == 1.0


def test_something_wrong_is_bounded_by_the_score_interval() -> None:
    """Newcombe 1998, Statistics in Medicine 17, table I: 81 of 263, up to 0.3662."""
    assert upper_bound(81, 263) == pytest.approx(0.3662, abs=0.0005)


def test_turns_are_counted_for_each_answered_checkpoint() -> None:
    """Two walks of four and six turns over three checkpoints each."""
    result = sum_up([row(), row(number=1, turns=(2, 2, 2))])

    found = cell(result, "idle 10")
    assert found.turns == pytest.approx(10 / 6)
    assert found.turns_low <= found.turns <= found.turns_high
    assert found.least_turns == pytest.approx(1.0)
    assert found.goal_turns == 1.25
    assert found.pauses == 4


def test_ratios_are_summed_up_over_their_noises() -> None:
    """Each noise has a line, each ratio with several one more."""
    result = sum_up([row(), row(kind="wind"), row(kind="wind", snr_db=0.0)])

    assert cell(result, "all at 10 dB").answers == 6
    assert cell(result, "all").answers == 9
    assert cell(result, "wind 0").goal_turns == 1.6
    assert not [c for c in result.cells if c.condition == "all at 0 dB"]


def test_voices_that_were_tuned_on_stand_apart() -> None:
    """Nothing is summed up over both sides."""
    result = sum_up([row(), row(side="tuning", wrong=(HIDDEN,))])

    assert [(c.side, c.wrong) for c in result.cells if c.condition == "all"] == [
        ("judging", 0),
        ("tuning", 1),
    ]


def test_each_wrong_entry_is_listed_with_its_path() -> None:
    """What was meant, what is recorded, and what happened around it."""
    heard = Misheard(
        question="condition",
        said="defect",
        heard="good",
        confidence=0.99,
        outcome="accept",
    )
    result = sum_up([row(wrong=(HIDDEN,), misheard=(heard,), objects=False)])

    found = cell(result, "all")
    assert (found.wrong, found.hidden_findings, found.taken_wrong) == (1, 1, 1)
    text = as_text(result)
    assert "HIDDEN FINDING left_front_tread" in text
    assert "never objects" in text
    assert 'hears "good" 0.990: accept' in text
