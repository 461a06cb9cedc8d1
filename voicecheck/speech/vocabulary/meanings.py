"""What happens when one meaning is taken for another.

Three things may come of a mix-up. It is dangerous when a part passes, a
read-back is affirmed or a severity is recorded that nobody said. It is costly
when something else wrong is recorded or done that read-back or the next
question brings to light. Numbers are a kind of their own: all digits must
exist, so their words cannot be chosen freely, and every reading is read back.
The classes agree with those of the confirmation policy.
"""

from __future__ import annotations

from enum import StrEnum

__all__ = ["Consequence", "Risk", "consequence_of", "risk_of"]


class Consequence(StrEnum):
    """What a meaning leads to."""

    PASSES = "passes the point"
    AFFIRMS = "affirms"
    FINDS = "opens a finding or denies"
    GRADES = "grades a defect"
    COUNTS = "is a number or a class"
    DETAILS = "is a detail of a finding"
    STEERS = "steers the dialogue"


class Risk(StrEnum):
    """What mixing up two meanings can do."""

    DANGEROUS = "dangerous"
    """A part passes, or something is affirmed or graded, that nobody said."""
    NUMBER = "number"
    """A wrong number or class; every one is read back."""
    COSTLY = "costly"
    """A wrong detail or a wrong turn."""


_MEANINGS = {
    Consequence.PASSES: {"good", "not_fitted", "full", "between"},
    Consequence.AFFIRMS: {"yes"},
    Consequence.FINDS: {"defect", "leak", "no", "low", "empty", "could_not_check"},
    Consequence.GRADES: {"minor", "major", "critical"},
    Consequence.COUNTS: {"I", "II", "III", ".", "point", "finished", *"0123456789"},
    Consequence.STEERS: {
        "repeat", "help", "remaining", "note", "skip", "back", "pause", "stop",
        "done", "carry_on",
    },
}  # fmt: skip


def consequence_of(meaning: str) -> Consequence:
    """Return what a meaning leads to; one that is not listed is a detail."""
    for consequence, meanings in _MEANINGS.items():
        if meaning in meanings:
            return consequence
    return Consequence.DETAILS


def risk_of(one: str, other: str) -> Risk | None:
    """Return what taking one meaning for the other can do; None for the same."""
    if one == other:
        return None
    pair = {consequence_of(one), consequence_of(other)}
    if pair == {Consequence.GRADES}:
        return Risk.DANGEROUS
    if len(pair) == 2 and pair & {Consequence.PASSES, Consequence.AFFIRMS}:
        return Risk.DANGEROUS
    return Risk.NUMBER if pair == {Consequence.COUNTS} else Risk.COSTLY
