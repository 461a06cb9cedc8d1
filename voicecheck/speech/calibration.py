"""From raw scores to a probability: a logistic map, kept as a small data file.

Each file names what it was fitted on, so that nobody takes its numbers for
more than they are.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

from voicecheck.errors import ModelError


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """Weights of a logistic regression over named features."""

    intercept: float
    weights: Mapping[str, float]
    means: Mapping[str, float]
    scales: Mapping[str, float]
    other_share: float = 0.3
    """Share of the remaining probability that the runner-up gets."""
    provenance: str = ""

    def probability(self, features: Mapping[str, float]) -> float:
        """Return the probability 0 … 1 that the best phrase was said."""
        total = self.intercept
        for name, weight in self.weights.items():
            total += weight * (features[name] - self.means[name]) / self.scales[name]
        return 1.0 / (1.0 + math.exp(-max(-40.0, min(40.0, total))))


@cache
def load_calibration(engine: str) -> Calibration:
    """Return the map of an engine.

    Raises:
        ModelError: there is none.
    """
    file = resources.files(__package__) / "calibrations" / f"{engine}.json"
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise ModelError(f"no calibration for the engine {engine!r}") from error
    return Calibration(**data)
