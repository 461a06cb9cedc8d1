"""How often this operator says "good" on this walk, from what was said yes to.

A recogniser gives probabilities as if every phrase were as likely to be said as in
the trials that it was fitted on, where one answer in nine was a "good". On a walk
most are. What has been confirmed so far says how far the odds may be moved, by
Bayes' rule with a beta distribution over the share of "good": none before anything
was confirmed, and never by more than `MOST`. A "good" that was not meant ends the
belief at once: then this voice's other words sound like "good" to the machine.

The odds only spare the read-back of a "good" that is the likeliest already; they
make no other word into one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from voicecheck.dialogue import confirmation
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Good,
    Leak,
    NotFitted,
)
from voicecheck.speech.ports import Hypothesis

__all__ = ["MOST", "Habit", "believed"]

MOST = 8.0
"""Odds are never moved by more. Of 806 defects, leaks and absences at 0 dB and better,
half of them by a voice that nothing was fitted on, 8, 16 and 32 take none for "good";
of 301 times "good" or "all in order" by that voice 48 % are taken at 1, 71 % at 8. With
a network before, 32 took one of 1,453."""
_OTHERS = 8
"""Answers other than "good" for each "good" in the trials of the fit."""


@dataclass(slots=True)
class Habit:
    """What was confirmed on this walk, in answer to the question of the condition."""

    good: int = 0
    """Times "good" was read back and got a yes, since it last was wrong."""
    other: int = 0
    """Findings and absences that got a yes."""

    def confirmed(self, answer: Answer) -> None:
        """Take note of an answer after its explicit yes."""
        if isinstance(answer, Good):
            self.good += 1
        elif isinstance(answer, Defect | Leak | NotFitted | CouldNotCheck):
            self.other += 1

    def was_wrong(self) -> None:
        """A "good" was taken or read back that was not meant."""
        self.good = 0

    @property
    def odds(self) -> float:
        """By how much the odds of "good" are moved, 1 … MOST.

        The mean of a beta distribution that began at one to `_OTHERS`, as odds,
        over the odds of the trials.
        """
        moved = (1 + self.good) * _OTHERS / (_OTHERS + self.other)
        return min(MOST, max(1.0, moved))


def believed(hypotheses: Sequence[Hypothesis], odds: float) -> tuple[Hypothesis, ...]:
    """Move the odds of a "good" that is the likeliest; leave all else as it was.

    Args:
        hypotheses: the likeliest first.
        odds: at least 1.
    """
    if not hypotheses or hypotheses[0].meaning != "good":
        return tuple(hypotheses)
    return confirmation.distrusted(hypotheses, {"good": odds})
