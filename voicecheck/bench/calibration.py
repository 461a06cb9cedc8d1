"""Do confidences mean what they say? Calibration error and temperature.

Source: Guo et al. 2017, "On Calibration of Modern Neural Networks"
(expected calibration error with equal-width bins; temperature scaling).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "ReliabilityBin",
    "expected_calibration_error",
    "fit_temperature",
    "reliability",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReliabilityBin:
    """What happened among trials of similar confidence."""

    confidence: float
    """Mean confidence."""
    accuracy: float
    """Share that was right."""
    count: int
    """Trials."""


def reliability(
    confidence: ArrayLike, right: ArrayLike, bins: int = 15
) -> tuple[ReliabilityBin, ...]:
    """Sort trials into equal-width bins of confidence; empty bins are left out."""
    level = np.asarray(confidence, dtype=np.float64)
    hit = np.asarray(right, dtype=np.float64)
    place = np.minimum((level * bins).astype(int), bins - 1)
    return tuple(
        ReliabilityBin(
            confidence=float(level[place == b].mean()),
            accuracy=float(hit[place == b].mean()),
            count=int((place == b).sum()),
        )
        for b in range(bins)
        if (place == b).any()
    )


def expected_calibration_error(
    confidence: ArrayLike, right: ArrayLike, bins: int = 15
) -> float:
    """Return the mean gap of confidence and accuracy, weighted by trials."""
    found = reliability(confidence, right, bins)
    total = sum(b.count for b in found)
    return sum(b.count * abs(b.confidence - b.accuracy) for b in found) / total


def fit_temperature(logits: NDArray[np.float64], targets: NDArray[np.int64]) -> float:
    """Return the temperature of least cross-entropy, to 1 %.

    Args:
        logits: shape (trials, classes).
        targets: right class of each trial.
    """

    def loss(temperature: float) -> float:
        scaled = logits / temperature
        top = scaled.max(axis=1, keepdims=True)
        total = np.log(np.exp(scaled - top).sum(axis=1)) + top[:, 0]
        return float(np.mean(total - scaled[np.arange(len(targets)), targets]))

    grid = np.exp(np.arange(np.log(0.3), np.log(6.0), 0.01))
    return float(grid[int(np.argmin([loss(float(t)) for t in grid]))])
