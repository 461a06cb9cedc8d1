"""The policy as a table: from which probability on a word is taken or read back.

Worked out from `confirmation.decide` with the shipped costs, for the likeliest
meaning alone and beside a finding. Below, it is asked again.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.dialogue.confirmation import (
    CostTable,
    Outcome,
    decide,
    standard_costs,
)
from voicecheck.speech.ports import Hypothesis

__all__ = ["Row", "decision_rows", "decision_table", "thresholds"]

STEPS = 1000
BESIDE = 0.002
"""Probability of a finding beside a word that would hide it."""
_SAMPLES = (
    ("ends a part: good, full …", "good", True),
    ("opens a finding: defect, leak …", "defect", True),
    ("detail of a finding: cracked, minor …", "cracked", True),
    ("number (taken: read back)", "4527.3", False),
    ("yes, to a read-back", "yes", False),
    ("no, to a read-back", "no", False),
    ("repeat, help, how many left, note", "repeat", True),
    ("skip, go back, pause, stop", "skip", True),
)
"""What is said, one of its meanings, and whether asking again is priced by how often
the next try fails (see `weighing`)."""


@dataclass(frozen=True, slots=True)
class Row:
    """One class of meanings; None: never."""

    said: str
    taken: float | None
    read_back: float | None
    """At the first try."""
    taken_beside: float | None
    """With a finding, or a no, of `BESIDE` beside it."""
    read_back_again: float | None
    """After two failures."""


def decision_rows() -> tuple[Row, ...]:
    """Work out the table with the shipped costs."""
    costs = standard_costs()
    rows = []
    for said, meaning, priced in _SAMPLES:
        first, later = (costs.after(0), costs.after(2)) if priced else (costs, costs)
        taken, read_back = thresholds(meaning, first)
        beside, _ = thresholds(meaning, first, beside=BESIDE)
        _, again = thresholds(meaning, later)
        rows.append(Row(said, taken, read_back, beside, again))
    return tuple(rows)


def thresholds(
    meaning: str, costs: CostTable, *, beside: float = 0.0
) -> tuple[float | None, float | None]:
    """Return from which probability on a meaning is taken, and read back or taken.

    Args:
        meaning: the likeliest.
        costs: the table.
        beside: probability of a finding that was said instead.
    """
    other = "no" if meaning == "yes" else "leak"
    found: dict[Outcome, float] = {}
    for step in range(STEPS, -1, -1):
        p = min(step / STEPS, 1.0 - beside)
        heard = [Hypothesis(phrase=meaning, meaning=meaning, confidence=p)]
        if beside and other != meaning:
            heard.append(Hypothesis(phrase=other, meaning=other, confidence=beside))
        outcome = decide(heard, costs, can_read_back=meaning != "yes")
        if outcome is Outcome.REJECT:
            break
        found[outcome] = p
    taken = found.get(Outcome.ACCEPT)
    return taken, found.get(Outcome.CONFIRM, taken)


def decision_table() -> str:
    """Return the table as Markdown."""
    head = (
        "| said | taken from | read back from "
        f"| taken from, with {BESIDE} of a finding or a no "
        "| read back from, after two failures |"
    )
    lines = [head, "| --- | --- | --- | --- | --- |"]
    for row in decision_rows():
        numbers = (row.taken, row.read_back, row.taken_beside, row.read_back_again)
        cells = ["never" if n is None else f"{n:.2f}" for n in numbers]
        lines.append(f"| {row.said} | {' | '.join(cells)} |")
    return "\n".join(lines)
