"""The conditional logit finds the weights that choices were drawn with."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.bench.training.logit import Choice, fit_logit

WEIGHTS = {"a": 1.5, "b": -0.7}
NONE = {"always": 0.4}


def drawn(count: int, seed: int) -> list[Choice]:
    """Choices by a person who follows the model exactly."""
    rng = np.random.default_rng(seed)
    choices = []
    for _ in range(count):
        rows = [
            {name: float(rng.normal()) for name in WEIGHTS}
            for _ in range(int(rng.integers(1, 5)))
        ]
        scores = [sum(WEIGHTS[n] * row[n] for n in WEIGHTS) for row in rows]
        shares = np.exp([*scores, NONE["always"]])
        place = int(rng.choice(len(shares), p=shares / shares.sum()))
        choices.append(
            Choice(
                candidates=rows,
                none={"always": 1.0},
                right=place if place < len(rows) else None,
            )
        )
    return choices


def test_the_weights_come_back() -> None:
    """Within the error of 4,000 draws; the weak prior moves them by less."""
    found, none = fit_logit(drawn(4_000, 1), tuple(WEIGHTS), tuple(NONE))

    assert found == pytest.approx(WEIGHTS, abs=0.12)
    assert none == pytest.approx(NONE, abs=0.12)


def test_a_limit_holds() -> None:
    """A weight that may not be positive is not."""
    found, _ = fit_logit(
        drawn(500, 2), tuple(WEIGHTS), tuple(NONE), limits={"a": (None, 0.0)}
    )

    assert found["a"] <= 0.0


def test_a_trial_that_counts_twice_is_two_trials() -> None:
    """The same weights either way."""
    choices = drawn(60, 3)
    twice = [
        Choice(candidates=c.candidates, none=c.none, right=c.right, counts=2.0)
        for c in choices[:30]
    ]

    by_count = fit_logit([*twice, *choices[30:]], tuple(WEIGHTS), tuple(NONE))
    by_copy = fit_logit([*choices[:30], *choices], tuple(WEIGHTS), tuple(NONE))

    assert by_count[0] == pytest.approx(by_copy[0], abs=1e-3)
    assert by_count[1] == pytest.approx(by_copy[1], abs=1e-3)
