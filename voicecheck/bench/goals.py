"""What hearing is measured against: earlier figures and goals, noise by noise.

The earlier figures are of bare PocketSphinx and of RNNoise before it, with a
grammar of eleven phrases, on voices that nothing was tuned on; they are the
project's own. The goals are for a voice that the program does not know
("stranger") and for an operator who has enrolled.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.audio.noise import NoiseKind
from voicecheck.bench.trials import CONDITIONS, Condition

__all__ = [
    "CALIBRATION_ERROR_GOAL",
    "FAULT_AS_GOOD_GOAL",
    "FOREIGN_ACCEPTED_GOAL",
    "HARDER_ENROLLED_GOAL",
    "WRONG_ACCEPT_GOAL",
    "Goal",
    "condition_named",
    "goal_of",
    "is_usable",
]

WRONG_ACCEPT_GOAL = 0.003
"""Most wrong phrases taken without read-back, of command trials, 0 dB and better."""
FAULT_AS_GOOD_GOAL = 0.0005
"""Most "defect" or "leak" taken as "good", of their trials, 0 dB and better."""
FOREIGN_ACCEPTED_GOAL = 0.005
"""Most sounds that are no answer taken as one without read-back."""
CALIBRATION_ERROR_GOAL = 0.05
HARDER_ENROLLED_GOAL = 0.90
"""Enrolled voice, each noise 5 dB louder; a stranger's figure is only reported."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """Earlier figures and goals of one noise, shares 0 … 1."""

    bare: float | None = None
    """PocketSphinx alone, earlier."""
    denoised: float | None = None
    """RNNoise before PocketSphinx, earlier."""
    stranger: float | None = None
    enrolled: float | None = None


def _goal(bare: float, denoised: float, stranger: float, enrolled: float) -> Goal:
    return Goal(bare=bare, denoised=denoised, stranger=stranger, enrolled=enrolled)


_GOALS = {
    "quiet": _goal(0.97, 0.89, 0.995, 0.999),
    "pink 15": _goal(0.61, 0.89, 0.99, 0.999),
    "idle 10": _goal(0.55, 0.91, 0.99, 0.999),
    "pink 5": _goal(0.05, 0.80, 0.97, 0.995),
    "idle 0": _goal(0.03, 0.70, 0.95, 0.99),
    "alarm 0": _goal(0.03, 0.59, 0.90, 0.985),
    "wind 0": _goal(0.26, 0.82, 0.96, 0.99),
    "crusher 5": _goal(0.17, 0.77, 0.95, 0.995),
    "babble 15": _goal(0.30, 0.18, 0.97, 0.995),
    "babble 5": _goal(0.12, 0.06, 0.85, 0.95),
}
_HARDER = Goal(enrolled=HARDER_ENROLLED_GOAL)


def goal_of(condition: str) -> Goal:
    """Return the goals of a noise; all others are the ten made 5 dB harder."""
    return _GOALS.get(condition, _HARDER)


def condition_named(name: str) -> Condition | None:
    """Return the condition of this name, or None."""
    return next((c for c in CONDITIONS if c.name == name), None)


def is_usable(condition: Condition) -> bool:
    """Tell whether the goals for mistakes count here: 0 dB and better."""
    return condition.kind is NoiseKind.QUIET or condition.snr_db >= 0
