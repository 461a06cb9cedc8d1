"""Sum simulated walks up: wrong entries, turns, and how sure both are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from pydantic import BaseModel, ConfigDict

from voicecheck import __version__
from voicecheck.bench.walks_operator import NEVER_OBJECT
from voicecheck.bench.walks_row import WalkRow, WrongEntry
from voicecheck.statistics.proportions import wilson

__all__ = ["Cell", "ListedWrong", "WalksResult", "sum_up", "upper_bound"]

_DRAWS = 1000
_GOALS = {10.0: 1.25, 0.0: 1.6}
"""Turns per checkpoint, at most, by the ratio in dB."""


class ListedWrong(BaseModel):
    """A wrong entry and where it happened."""

    model_config = ConfigDict(frozen=True)

    condition: str
    walk: int
    voice: str
    objects: bool
    entry: WrongEntry


class Cell(BaseModel):
    """The walks of one noise, or of all, by voices of one side."""

    model_config = ConfigDict(frozen=True)

    condition: str
    side: str
    walks: int
    answers: int
    spoken: int
    wrong: int
    hidden_findings: int
    wrong_at_most: float
    """Upper end of the share of wrong answers, 95 %."""
    turns: float
    """Mean turns per checkpoint that was answered."""
    turns_low: float
    turns_high: float
    """95 % bootstrap interval: walks, and checkpoints within each, drawn anew."""
    least_turns: float
    """The same if every word had been heard surely."""
    goal_turns: float | None
    given_up: int
    pauses: int
    abandoned: int
    taken_wrong: int
    """Words taken for others without being asked again, most put right later."""
    cpu_s_per_answer: float


class WalksResult(BaseModel):
    """Result of `voicecheck bench walks`."""

    model_config = ConfigDict(frozen=True)

    voicecheck: str = __version__
    run: str
    operator_model: str
    cells: tuple[Cell, ...]
    wrong: tuple[ListedWrong, ...]


def upper_bound(wrong: int, answers: int) -> float:
    """Return the upper end of a share, 95 %.

    With nothing wrong the rule of three, 3 / n (Hanley and Lippman-Hand 1983,
    JAMA 249); otherwise the upper end of the score interval.
    """
    if answers == 0:
        return 1.0
    if wrong == 0:
        return min(1.0, 3 / answers)
    return wilson(wrong, answers).high


def sum_up(
    rows: Sequence[WalkRow], *, run: str = "", never_object: float = NEVER_OBJECT
) -> WalksResult:
    """Sum all walks up, noise by noise and together."""
    cells = []
    for side in sorted({row.side for row in rows}):
        mine = [row for row in rows if row.side == side]
        for name in dict.fromkeys(row.condition for row in mine):
            cells.append(_cell(name, side, [r for r in mine if r.condition == name]))
        for snr_db in sorted({row.snr_db for row in mine}, reverse=True):
            some = [row for row in mine if row.snr_db == snr_db]
            if len({row.condition for row in some}) > 1:
                cells.append(_cell(f"all at {snr_db:g} dB", side, some))
        cells.append(_cell("all", side, mine))
    return WalksResult(
        run=run,
        operator_model=(
            f"Explicit read-backs are answered right; {never_object:.0%} of operators "
            "never object to a wrong answer that is only said back, the others take "
            'it back with "go back". Nobody speaks louder when asked again.'
        ),
        cells=tuple(cells),
        wrong=tuple(
            ListedWrong(
                condition=row.condition,
                walk=row.number,
                voice=row.voice,
                objects=row.objects,
                entry=entry,
            )
            for row in rows
            for entry in row.wrong
        ),
    )


def _cell(name: str, side: str, rows: Sequence[WalkRow]) -> Cell:
    answers = sum(row.answers for row in rows)
    wrong = sum(len(row.wrong) for row in rows)
    low, high = _interval([row.turns for row in rows if row.turns])
    ratios = {row.snr_db for row in rows}
    return Cell(
        condition=name,
        side=side,
        walks=len(rows),
        answers=answers,
        spoken=sum(row.spoken for row in rows),
        wrong=wrong,
        hidden_findings=sum(e.hidden_finding for row in rows for e in row.wrong),
        wrong_at_most=upper_bound(wrong, answers),
        turns=sum(sum(row.turns) for row in rows) / max(1, answers),
        turns_low=low,
        turns_high=high,
        least_turns=sum(row.least_turns for row in rows) / max(1, answers),
        goal_turns=_GOALS.get(ratios.pop()) if len(ratios) == 1 else None,
        given_up=sum(len(row.given_up) for row in rows),
        pauses=sum(row.counts.get("paused", 0) for row in rows),
        abandoned=sum(row.ended == "abandoned" for row in rows),
        taken_wrong=sum(m.outcome == "accept" for row in rows for m in row.misheard),
        cpu_s_per_answer=sum(row.cpu_s for row in rows) / max(1, answers),
    )


def _interval(walks: Sequence[Sequence[int]]) -> tuple[float, float]:
    """Return the 95 % interval of mean turns per checkpoint."""
    if not walks:
        return 0.0, 0.0
    rng = np.random.default_rng(1)
    turns = [np.asarray(walk) for walk in walks]
    means = []
    for _ in range(_DRAWS):
        drawn = [turns[i] for i in rng.integers(len(turns), size=len(turns))]
        again = [walk[rng.integers(walk.size, size=walk.size)] for walk in drawn]
        means.append(float(np.concatenate(again).mean()))
    return float(np.quantile(means, 0.025)), float(np.quantile(means, 0.975))
