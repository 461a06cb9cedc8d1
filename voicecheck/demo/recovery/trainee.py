"""A trainee whose weaknesses are known, since we made them."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar
from uuid import UUID

from voicecheck.round.answers import Severity

Item = TypeVar("Item")


@dataclass(frozen=True, slots=True, kw_only=True)
class Weaknesses:
    """What is put in; invented, for the demo only."""

    d_prime: float = 1.8
    """How well a defect is told from a good thing: 0 is guessing."""
    criterion: float = 0.4
    """Above 0: says "good" too readily."""
    too_mild: float = 0.25
    """Share of severities that are called one step too mild."""
    severity_error: float = 0.1
    """Share of severities that are guessed."""
    swaps: float = 0.15
    """Chance that a zone is taken after the one that follows it."""
    passes_by: float = 0.08
    """Share of points that are passed without a look on a walk."""
    memory: float = 0.5
    """Factor on the stability that the schedule supposes: forgets twice as fast."""


class Trainee:
    """Acts on its weaknesses, by the chances of one seed."""

    def __init__(self, weaknesses: Weaknesses, seed: int) -> None:
        self.weaknesses = weaknesses
        self._random = random.Random(seed)
        # apart, so that no key changes what the trainee does
        self._keys = random.Random(f"keys of {seed}")

    def calls_wrong(self, signal: bool) -> bool:
        """Tell whether the trainee says that something is wrong.

        Args:
            signal: whether something is.
        """
        half = self.weaknesses.d_prime / 2
        seen = self._random.gauss(half if signal else -half, 1.0)
        return seen > self.weaknesses.criterion

    def severity(self, true: Severity) -> Severity:
        """Say how severe it is."""
        grades = list(Severity)
        chance = self._random.random()
        if chance < self.weaknesses.too_mild:
            return grades[max(0, true.rank - 1)]
        if chance < self.weaknesses.too_mild + self.weaknesses.severity_error:
            return self._random.choice(grades)
        return true

    def order(self, items: Sequence[Item]) -> tuple[Item, ...]:
        """Go through things in order, some neighbours swapped."""
        left, gone = list(items), []
        while left:
            swapped = len(left) > 1 and self._random.random() < self.weaknesses.swaps
            gone += [left.pop(1), left.pop(0)] if swapped else [left.pop(0)]
        return tuple(gone)

    def looks(self) -> bool:
        """Tell whether the trainee looks at a point of a walk."""
        return self._random.random() >= self.weaknesses.passes_by

    def recalls(self, chance: float) -> bool:
        """Tell whether something is recalled that is with this chance."""
        return self._random.random() < chance

    def sample(self, items: Sequence[Item], count: int) -> list[Item]:
        """Pick some of many: what the trainee happens to meet."""
        return self._random.sample(items, count)

    def pick(self, items: Sequence[Item]) -> Item:
        """Pick one of many."""
        return self._random.choice(items)

    def key(self) -> UUID:
        """Return a key for something that the trainee did."""
        return UUID(bytes=self._keys.randbytes(16))

    def salt(self) -> bytes:
        """Return what closes the scenario of the trainee's walk."""
        return self._keys.randbytes(32)
