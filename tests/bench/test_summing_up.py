"""From rows to figures, against a count by hand."""

from __future__ import annotations

import pytest

from voicecheck.bench.contestants import EngineName
from voicecheck.bench.hearing_result import Rate, Reached
from voicecheck.bench.summing_up import sum_up
from voicecheck.bench.verdicts import Row


def row(
    said: str,
    heard: str | None,
    outcome: str,
    *,
    kind: str = "command",
    condition: str = "idle 0",
    confidence: float = 0.9,
) -> Row:
    """One trial."""
    return Row(
        engine="shipped",
        trial=0,
        condition=condition,
        noise=condition.split(maxsplit=1)[0],
        snr_db=0.0,
        kind=kind,
        said=said,
        text=said,
        voice="piper/w/a",
        heard=heard,
        confidence=confidence,
        second=None,
        second_confidence=0.0,
        outcome=outcome,
        utterances=0 if heard is None else 1,
    )


ROWS = [
    row("good", "good", "accept"),
    row("leak", "leak", "confirm"),
    row("yes", "yes", "reject"),
    row("no", None, "reject"),
    row("skip", "help", "accept"),
    row("minor", "major", "confirm"),
    row("defect", "good", "accept"),
    row("leak", "good", "confirm"),
    row("", "good", "accept", kind="near words"),
    row("", "good", "confirm", kind="near words"),
    row("", None, "reject", kind="chatter"),
    row("defect", "good", "accept", condition="idle -5"),
]


def test_what_became_of_the_command_trials() -> None:
    """Right at once or by read-back, refused, wrong, not found."""
    cell = sum_up(EngineName.SHIPPED, ROWS).cells[0]

    assert (cell.right.count, cell.right.trials, cell.accepted_right) == (2, 8, 1)
    assert (cell.refused, cell.missed, cell.best_right) == (2, 1, 3)
    assert (cell.wrong, cell.wrong_accepted) == (4, 2)


def test_mistakes_are_counted_at_zero_decibels_and_better() -> None:
    """The row below 0 dB does not count."""
    found = sum_up(EngineName.SHIPPED, ROWS).mistakes

    def pair(rate: Rate) -> tuple[int, int]:
        return rate.count, rate.trials

    assert pair(found.wrong_accepted) == (2, 8)
    assert pair(found.fault_as_good_accepted) == (1, 3)
    assert pair(found.fault_as_good_taken) == (2, 3)
    assert pair(found.foreign_accepted) == (1, 3)
    assert pair(found.foreign_read_back) == (1, 3)
    assert {k: pair(r) for k, r in found.foreign_by_kind.items()} == {
        "chatter": (0, 1),
        "near words": (1, 2),
    }


def test_calibration_counts_all_that_was_heard() -> None:
    """Ten heard something at 0.9; three of them were right."""
    found = sum_up(EngineName.SHIPPED, ROWS).calibration

    assert found is not None
    assert found.trials == 10
    assert found.error == pytest.approx(0.9 - 3 / 10)
    assert found.error_of_commands == pytest.approx(0.9 - 3 / 8)


@pytest.mark.parametrize(
    ("name", "goal"),
    [
        (EngineName.POCKETSPHINX, None),
        (EngineName.NETWORK, 0.95),
        (EngineName.SHIPPED, 0.95),
        (EngineName.SHIPPED_ENROLLED, 0.99),
    ],
)
def test_goals_by_engine(name: EngineName, goal: float | None) -> None:
    """A bare engine has none; an enrolled voice the higher."""
    found = sum_up(name, ROWS)

    assert found.cells[0].right.goal == goal
    assert (found.calibration is None) == (goal is None)


@pytest.mark.parametrize(
    ("count", "trials", "reached"),
    [
        (0, 3000, Reached.MET),
        (0, 100, Reached.SEEMS_MET),
        (1, 100, Reached.SEEMS_MISSED),
        (30, 100, Reached.MISSED),
        (0, 0, None),
    ],
)
def test_few_trials_prove_nothing(
    count: int, trials: int, reached: Reached | None
) -> None:
    """A goal is met only when the whole interval says so."""
    assert Rate.at_most(count, trials, 0.003).reached is reached
