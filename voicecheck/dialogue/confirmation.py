"""What to do with something heard: take it, read it back, or ask again.

The choice is the one of least expected cost. With p the probability of the
phrase, f the probability that a finding was said instead, m the share of wrong
read-backs that get a yes all the same, and the costs of `costs.toml` in turns:

    accept   f · hidden_finding + (1 - p - f) · wrong
    confirm  confirm + (1 - p) · (1 - m) · ask_again + m · accept
    reject   ask_again

Method: Bayes risk with a posterior over phrases and "something else"; the
idea of keeping "something else" follows Bohus and Rudnicky, "A K Hypotheses +
Other Belief Updating Model" (2006). The costs are ours.
"""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cache
from importlib import resources
from typing import Any

from voicecheck.speech.ports import ActiveSet, Heard, Hypothesis


class Outcome(StrEnum):
    """What becomes of something heard."""

    ACCEPT = "accept"
    CONFIRM = "confirm"
    REJECT = "reject"


FINDINGS = frozenset({"defect", "leak", "no", "low", "empty", "could_not_check"})
"""Meanings that must not be lost."""
_REFUSED_TRUST = 0.5
"""Share of its probability that a meaning keeps, against others, after the
operator said no to it."""
_REFUSED_NUMBER_TRUST = 0.1
"""The same for a number: a recogniser mishears the same digits alike again."""

_CLASSES = {
    "passes": {"good", "not_fitted", "full", "between"},
    "affirms": {"yes"},
    "denies": {"no"},
    "finds": FINDINGS,
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
    fails_again: Sequence[float] = (0.0,)
    """Share of the tries after this one that fail too, after no failure, one, more."""

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> CostTable:
        """Build the table from the data of the file."""
        return cls(
            **data["turns"],
            meaning={name: Costs(**row) for name, row in data["meaning"].items()},
        )

    def with_details(self, costs: Costs) -> CostTable:
        """Return the table with other costs of details."""
        return replace(self, meaning={**self.meaning, "details": costs})

    def after(self, failures: int) -> CostTable:
        """Return the costs after so many failures at one question.

        With s the share of tries that fail, the k-th further one is needed with
        probability s to the k: asking again costs ask_again / (1 - s).
        """
        share = self.fails_again[min(failures, len(self.fails_again) - 1)]
        return replace(self, ask_again=self.ask_again / (1.0 - share))


@cache
def standard_costs() -> CostTable:
    """Return the costs that the program ships with."""
    file = resources.files(__package__) / "costs.toml"
    return CostTable.from_data(tomllib.loads(file.read_text(encoding="utf-8")))


@cache
def refused_costs() -> CostTable:
    """Return the costs after an answer was refused, for its details.

    As with a number: a wrong detail costs one more refusal, and only what is not
    tried again is never found.
    """
    usual = standard_costs()
    return usual.with_details(usual.meaning["numbers"])


def meaning_class(hypothesis: Hypothesis) -> str:
    """Return the class of costs that a meaning belongs to."""
    for name, meanings in _CLASSES.items():
        if hypothesis.meaning in meanings:
            return name
    return "numbers" if _is_number(hypothesis.meaning) else "details"


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
    right = _mass(h for h in hypotheses if h.meaning == best.meaning)
    finding = _mass(
        h for h in hypotheses if h.meaning in FINDINGS and h.meaning != best.meaning
    )
    finding = min(finding, 1.0 - right)
    accept = finding * row.hidden_finding + (1.0 - right - finding) * row.wrong
    missed = table.confirm_misses
    confirm = (
        table.confirm
        + (1.0 - right) * (1.0 - missed) * table.ask_again
        + missed * accept
    )
    return {
        Outcome.ACCEPT: accept,
        Outcome.CONFIRM: confirm,
        Outcome.REJECT: table.ask_again,
    }


def decide(
    hypotheses: Sequence[Hypothesis],
    costs: CostTable | None = None,
    *,
    refused: Collection[str] = (),
    can_read_back: bool = True,
) -> Outcome:
    """Return the outcome of least expected cost; a tie goes to the safer side.

    Args:
        hypotheses: the likeliest first; none: nothing was understood.
        costs: the table; None: the standard one.
        refused: meanings that the operator said no to before; they are taken
            only after a yes.
        can_read_back: False where a yes or no is waited for: nobody asks whether
            a yes was a yes.
    """
    if not hypotheses:
        return Outcome.REJECT
    expected = expected_costs(hypotheses, costs)
    order = [Outcome.REJECT, Outcome.ACCEPT]
    if can_read_back:
        order.insert(1, Outcome.CONFIRM)
    outcome = min(order, key=lambda outcome: expected[outcome])
    if outcome is Outcome.ACCEPT and hypotheses[0].meaning in refused:
        return Outcome.CONFIRM
    return outcome


def fitting(heard: Heard, active: ActiveSet) -> tuple[Hypothesis, ...]:
    """Return the hypotheses that may be said now; sound without end has none."""
    if heard.too_long:
        return ()
    return tuple(h for h in heard.hypotheses if _may_be_said(h, active))


def weighed(
    hypotheses: Sequence[Hypothesis], refused: Collection[str]
) -> tuple[Hypothesis, ...]:
    """Put meanings that the operator said no to behind others about as likely.

    A number that was refused is hardly the right one when it is heard again, so
    what is left of its probability goes to the others, by Bayes' rule.
    """

    trust = {
        meaning: _REFUSED_NUMBER_TRUST if _is_number(meaning) else _REFUSED_TRUST
        for meaning in refused
    }
    if any(h.meaning in refused and _is_number(h.meaning) for h in hypotheses):
        return distrusted(hypotheses, trust)
    ranked = sorted(hypotheses, key=lambda h: -h.confidence * trust.get(h.meaning, 1.0))
    return tuple(ranked)


def distrusted(
    hypotheses: Sequence[Hypothesis], trust: Mapping[str, float]
) -> tuple[Hypothesis, ...]:
    """Believe some meanings less than they were heard, or more.

    What they lose goes to the others by Bayes' rule, what they gain is taken from
    them; what is left of a detail that was refused again and again is less than what
    is next to it.

    Args:
        hypotheses: of this try, the likeliest first.
        trust: meaning → share of its odds that it keeps; over 1: it gains.
    """
    kept = [h.confidence * trust.get(h.meaning, 1.0) for h in hypotheses]
    lost = sum(h.confidence for h in hypotheses) - sum(kept)
    left = max(1.0 - lost, 1e-9)
    held = [
        replace(h, confidence=min(1.0, share / left))
        for h, share in zip(hypotheses, kept, strict=True)
    ]
    return tuple(sorted(held, key=lambda h: -h.confidence))


def _may_be_said(hypothesis: Hypothesis, active: ActiveSet) -> bool:
    phrase = active.phrase(hypothesis.phrase)
    if phrase is not None:
        return (phrase.meaning, phrase.control) == (
            hypothesis.meaning,
            hypothesis.control,
        )
    return active.numbers and not hypothesis.control and _is_number(hypothesis.meaning)


def _is_number(text: str) -> bool:
    try:
        return Decimal(text).is_finite()
    except InvalidOperation:
        return False


def _mass(hypotheses: Iterable[Hypothesis]) -> float:
    """Sum of probabilities, never outside 0 … 1."""
    return min(1.0, sum(max(0.0, h.confidence) for h in hypotheses))
