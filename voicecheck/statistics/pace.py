"""Walks that were finished faster than anyone can have looked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import median

LEAST_SHARE = 0.1
"""Share of answers flagged too fast from which a whole walk is; our default."""
SCORE = -3.5
"""Iglewicz & Hoaglin 1993, How to Detect and Handle Outliers; also in the NIST/
SEMATECH e-Handbook of Statistical Methods, 1.3.5.17."""
LEAST_WALKS = 8
"""Fewer say nothing about what is usual; our default."""


class Hurry(StrEnum):
    """Why a walk stands out."""

    ANSWERS = "answers"
    """Too many answers of good came faster than one can look."""
    UNUSUAL = "unusual"
    """Far less time for each answer than is usual for such walks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkPace:
    """How fast one walk went."""

    walk_id: str
    answers: int
    too_fast: int
    """Answers flagged as faster than one can look."""
    walking_s: float
    """From start to end without pauses."""

    @property
    def seconds_each(self) -> float:
        """Seconds for each answer; infinite without answers."""
        return self.walking_s / self.answers if self.answers else math.inf


def hurried(walks: Sequence[WalkPace]) -> dict[str, frozenset[Hurry]]:
    """Return the walks that stand out, by id; a question to ask, no verdict."""
    scores = modified_z_scores([_log_seconds(walk) for walk in walks])
    found: dict[str, frozenset[Hurry]] = {}
    for walk, score in zip(walks, scores, strict=True):
        why = set()
        if walk.answers and walk.too_fast >= LEAST_SHARE * walk.answers:
            why.add(Hurry.ANSWERS)
        if len(walks) >= LEAST_WALKS and score <= SCORE:
            why.add(Hurry.UNUSUAL)
        if why:
            found[walk.walk_id] = frozenset(why)
    return found


def modified_z_scores(values: Sequence[float]) -> list[float]:
    """Return how far each value lies from the median, in robust deviations.

    Where more than half are equal there is no spread: equal ones get 0, others
    an infinite score with their sign.

    Source:
        Iglewicz & Hoaglin 1993: 0.6745 (x - median) / MAD.
    """
    if not values:
        return []
    middle = median(values)
    spread = median(abs(value - middle) for value in values)
    return [_score(value - middle, spread) for value in values]


def _score(away: float, spread: float) -> float:
    if away == 0:
        return 0.0
    return 0.6745 * away / spread if spread else math.copysign(math.inf, away)


def _log_seconds(walk: WalkPace) -> float:
    # logarithm: times differ by factors; a floor, because typed ones may take 0 s
    each = walk.seconds_each
    return math.log(min(max(each, 1e-3), 1e9))
