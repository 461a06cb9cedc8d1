"""From rows to figures: one engine's cells, mistakes and calibration."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from voicecheck.bench.calibration import expected_calibration_error, reliability
from voicecheck.bench.contestants import EngineName
from voicecheck.bench.foreign import FOREIGN
from voicecheck.bench.goals import (
    CALIBRATION_ERROR_GOAL,
    FAULT_AS_GOOD_GOAL,
    FOREIGN_ACCEPTED_GOAL,
    WRONG_ACCEPT_GOAL,
    condition_named,
    goal_of,
    is_usable,
)
from voicecheck.bench.hearing_result import (
    Bin,
    Calibrated,
    Cell,
    EngineResult,
    Mistakes,
    Rate,
)
from voicecheck.bench.verdicts import Row
from voicecheck.dialogue.confirmation import Outcome

__all__ = ["TITLES", "sum_up"]

TITLES = {
    EngineName.POCKETSPHINX: "PocketSphinx",
    EngineName.RNNOISE: "RNNoise + PocketSphinx",
    EngineName.NETWORK: "network alone",
    EngineName.NETWORK_ENROLLED: "network, enrolled",
    EngineName.SHIPPED: "voicecheck",
    EngineName.SHIPPED_ENROLLED: "voicecheck, enrolled",
}
_NO_CONFIDENCE = (EngineName.POCKETSPHINX, EngineName.RNNOISE)
_ENROLLED = (EngineName.NETWORK_ENROLLED, EngineName.SHIPPED_ENROLLED)
_FAULTS = ("defect", "leak")
_GOOD = "good"


def sum_up(name: EngineName, rows: Sequence[Row]) -> EngineResult:
    """Return the figures of one engine.

    Args:
        name: the engine.
        rows: its rows, at least one.
    """
    conditions = dict.fromkeys(row.condition for row in rows)
    return EngineResult(
        engine=name.value,
        title=TITLES[name],
        speakers=tuple(sorted({row.speaker for row in rows if row.is_command})),
        cells=tuple(
            _cell(name, c, [r for r in rows if r.condition == c and r.is_command])
            for c in conditions
        ),
        mistakes=_mistakes([row for row in rows if _counts(row.condition)]),
        calibration=None if name in _NO_CONFIDENCE else _calibration(rows),
        computing_s_per_trial=sum(row.computing_s for row in rows) / len(rows),
    )


def _counts(condition: str) -> bool:
    known = condition_named(condition)
    return known is not None and is_usable(known)


def _cell(name: EngineName, condition: str, rows: Sequence[Row]) -> Cell:
    goals = goal_of(condition)
    goal = None
    if name not in _NO_CONFIDENCE:
        goal = goals.enrolled if name in _ENROLLED else goals.stranger
    taken = [row for row in rows if row.is_taken]
    right = [row for row in taken if row.is_right]
    accepted = [row for row in taken if row.is_accepted]
    accepted_right = _count(accepted, lambda row: row.is_right)
    return Cell(
        condition=condition,
        usable=_counts(condition),
        right=Rate.at_least(len(right), len(rows), goal),
        accepted_right=accepted_right,
        best_right=_count(rows, lambda row: row.is_right),
        refused=len(rows) - len(taken),
        wrong=len(taken) - len(right),
        wrong_accepted=len(accepted) - accepted_right,
        missed=_count(rows, lambda row: row.utterances == 0),
    )


def _mistakes(rows: Sequence[Row]) -> Mistakes:
    commands = [row for row in rows if row.is_command]
    faults = [row for row in commands if row.said in _FAULTS]
    as_good = [row for row in faults if row.heard == _GOOD and row.is_taken]
    foreign = [row for row in rows if not row.is_command]
    taken = [row for row in foreign if row.is_accepted]
    by_kind = {}
    for kind in FOREIGN:
        here = [row for row in foreign if row.kind == kind.value]
        if here:
            count = _count(here, lambda row: row.is_accepted)
            by_kind[kind.value] = Rate.at_most(count, len(here), FOREIGN_ACCEPTED_GOAL)
    return Mistakes(
        wrong_accepted=Rate.at_most(
            _count(commands, lambda row: row.is_accepted and not row.is_right),
            len(commands),
            WRONG_ACCEPT_GOAL,
        ),
        fault_as_good_accepted=Rate.at_most(
            _count(as_good, lambda row: row.is_accepted),
            len(faults),
            FAULT_AS_GOOD_GOAL,
        ),
        fault_as_good_taken=Rate.at_most(len(as_good), len(faults)),
        foreign_accepted=Rate.at_most(len(taken), len(foreign), FOREIGN_ACCEPTED_GOAL),
        foreign_by_kind=by_kind,
        foreign_read_back=Rate.at_most(
            _count(foreign, lambda row: row.outcome == Outcome.CONFIRM.value),
            len(foreign),
        ),
    )


def _calibration(rows: Sequence[Row]) -> Calibrated | None:
    stated = [row for row in rows if row.heard is not None]
    if not stated:
        return None
    commands = [row for row in stated if row.is_command]
    levels = [row.confidence for row in stated]
    hits = [row.is_right for row in stated]
    return Calibrated(
        error=expected_calibration_error(levels, hits),
        error_of_commands=(
            expected_calibration_error(
                [row.confidence for row in commands],
                [row.is_right for row in commands],
            )
            if commands
            else 0.0
        ),
        goal=CALIBRATION_ERROR_GOAL,
        trials=len(stated),
        bins=tuple(
            Bin(
                confidence=min(1.0, b.confidence),
                right=min(1.0, b.accuracy),
                trials=b.count,
            )
            for b in reliability(levels, hits)
        ),
    )


def _count(rows: Sequence[Row], holds: Callable[[Row], bool]) -> int:
    return sum(holds(row) for row in rows)
