"""The prompt that comes back against other sounds."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.echo_guard import ECHO_LIKENESS, echo_likeness


@pytest.mark.parametrize("gain", [1.0, 0.1, 0.001, -0.1])
@pytest.mark.parametrize("delay", [0, 640, 8_000])
def test_a_copy_is_known_at_any_delay_and_level(gain: float, delay: int) -> None:
    """A later, quieter, inverted copy is likeness one, by Cauchy and Schwarz."""
    played = np.random.default_rng(1).normal(0, 0.1, 16_000).astype(np.float32)
    heard = np.concatenate([np.zeros(delay, np.float32), gain * played])

    assert echo_likeness(heard.astype(np.float32), played) > 0.95


def test_another_sound_is_no_copy() -> None:
    """Independent noise is far from likeness."""
    rng = np.random.default_rng(2)
    played, heard = rng.normal(0, 0.1, (2, 8_000)).astype(np.float32)

    assert echo_likeness(heard, played) < ECHO_LIKENESS / 2


def test_nothing_is_like_nothing() -> None:
    """Empty sound has no likeness."""
    nothing = np.zeros(0, np.float32)

    assert echo_likeness(nothing, np.ones(10, np.float32)) == 0.0
    assert echo_likeness(np.ones(10, np.float32), nothing) == 0.0
