"""Calibration error and temperature against worked numbers and known truths."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.bench.calibration import (
    expected_calibration_error,
    fit_temperature,
    reliability,
)


def test_error_of_a_worked_example() -> None:
    """Two bins, gaps 0.2 and 0.4, weights 3/4 and 1/4: 0.25.

    Source: arithmetic by the definition in Guo et al. 2017, eq. 5.
    """
    confidence = [0.8] * 15 + [0.4] * 5
    right = [1] * 15 + [0] * 5
    error = expected_calibration_error(confidence, right, bins=2)
    assert error == pytest.approx(0.75 * 0.2 + 0.25 * 0.4)


def test_honest_confidence_has_little_error() -> None:
    """Outcomes drawn with the stated probability give an error near zero."""
    rng = np.random.default_rng(1)
    confidence = rng.uniform(0, 1, 40_000)
    right = rng.uniform(0, 1, 40_000) < confidence
    assert expected_calibration_error(confidence, right) < 0.01
    assert sum(b.count for b in reliability(confidence, right)) == 40_000


def test_full_confidence_has_a_bin() -> None:
    """A confidence of exactly 1 lands in the last bin."""
    assert reliability([1.0, 1.0], [1, 0]) == (
        reliability([1.0], [0.5])[0].__class__(confidence=1.0, accuracy=0.5, count=2),
    )


@pytest.mark.parametrize("truth", [0.6, 1.0, 2.5])
def test_temperature_is_found_again(truth: float) -> None:
    """Labels drawn from softmax(logits / T) give T back within 6 %."""
    rng = np.random.default_rng(3)
    logits = rng.normal(0, 3, (6000, 8))
    gumbel = rng.gumbel(size=logits.shape)
    targets = np.argmax(logits / truth + gumbel, axis=1)
    assert fit_temperature(logits, targets) == pytest.approx(truth, rel=0.06)
