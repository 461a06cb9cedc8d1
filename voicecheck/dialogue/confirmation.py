"""What to do with something heard: take it, read it back, or ask again.

The choice is the one of least expected cost. With p the probability of the
phrase, f the probability that a finding was said instead, and the costs of
`costs.toml` in turns:

    accept   f · hidden_finding + (1 - p - f) · wrong
    confirm  confirm + (1 - p) · ask_again + confirm_misses · accept
    reject   ask_again

Method: Bayes risk with a posterior over phrases and "something else"; the
idea of keeping "something else" follows Bohus and Rudnicky, "A K Hypotheses +
Other Belief Updating Model" (2006). The costs are ours.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import resources
from typing import Any

from voicecheck.speech.ports import Hypothesis


class Outcome(StrEnum):
    """What becomes of something heard."""

    ACCEPT = "accept"
    CONFIRM = "confirm"
    REJECT = "reject"


FINDINGS = frozenset({"defect", "leak", "no", "low", "empty"})
"""Meanings that must not be lost."""

_CLASSES = {
    "passes": {"good", "not_fitted", "full", "between"},
    "affirms": {"yes"},
    "finds": {"defect", "leak", "no", "low", "empty", "could_not_check"},
    "steers": {"repeat", "help", "remaining", "note"},
    "leaves": {"skip", "back", "pause", "stop", "done", "carry_on"},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Costs:
    """Costs of one class of meanings, in turns."""

    wrong: float
    hidden_finding: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CostTable:
    """All costs; read from `costs.toml`."""

    ask_again: float
    confirm: float
    confirm_misses: float
    meaning: Mapping[str, Costs]

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> CostTable:
        """Build the table from the data of the file."""
        return cls(
            **data["turns"],
            meaning={name: Costs(**row) for name, row in data["meaning"].items()},
        )


@cache
def standard_costs() -> CostTable:
    """Return the costs that the program ships with."""
    file = resources.files(__package__) / "costs.toml"
    return CostTable.from_data(tomllib.loads(file.read_text(encoding="utf-8")))


def meaning_class(hypothesis: Hypothesis) -> str:
    """Return the class of costs that a meaning belongs to."""
    for name, meanings in _CLASSES.items():
        if hypothesis.meaning in meanings:
            return name
    return "details"


def expected_costs(
    hypotheses: Sequence[Hypothesis], costs: CostTable | None = None
) -> dict[Outcome, float]:
    """Return the expected cost of each outcome, in turns.

    Args:
        hypotheses: the likeliest first; at least one.
        costs: the table; None: the standard one.
    """
    table = costs or standard_costs()
    best = hypotheses[0]
    row = table.meaning[meaning_class(best)]
    right = min(max(best.confidence, 0.0), 1.0)
    same = sum(h.confidence for h in hypotheses[1:] if h.meaning == best.meaning)
    right = min(1.0, right + same)
    hidden = sum(
        h.confidence
        for h in hypotheses[1:]
        if h.meaning in FINDINGS and h.meaning != best.meaning
    )
    hidden = min(hidden, 1.0 - right)
    accept = hidden * row.hidden_finding + (1.0 - right - hidden) * row.wrong
    confirm = (
        table.confirm + (1.0 - right) * table.ask_again + table.confirm_misses * accept
    )
    return {
        Outcome.ACCEPT: accept,
        Outcome.CONFIRM: confirm,
        Outcome.REJECT: table.ask_again,
    }


def decide(hypotheses: Sequence[Hypothesis], costs: CostTable | None = None) -> Outcome:
    """Return the outcome of least expected cost; a tie goes to the safer side."""
    if not hypotheses:
        return Outcome.REJECT
    expected = expected_costs(hypotheses, costs)
    order = (Outcome.REJECT, Outcome.CONFIRM, Outcome.ACCEPT)
    return min(order, key=lambda outcome: expected[outcome])
