"""Coughs, breaths and bangs."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.bench.nonspeech import bang, breath, cough


@pytest.mark.parametrize("make", [bang, breath, cough])
def test_each_is_short_levelled_and_seeded(
    make: Callable[[np.random.Generator], Frames],
) -> None:
    """As long as a sound that nobody means, peak 0.5, the same by seed."""
    for seed in range(20):
        sound = make(np.random.default_rng(seed))
        assert 0.15 * RATE_HZ < sound.size < 1.4 * RATE_HZ
        assert np.max(np.abs(sound)) == pytest.approx(0.5, abs=1e-3)
        np.testing.assert_array_equal(sound, make(np.random.default_rng(seed)))


def test_a_bang_is_over_sooner_than_a_breath() -> None:
    """Impulses have a higher crest than a sigh."""

    def crest(sound: Frames) -> float:
        return float(np.max(np.abs(sound)) / np.sqrt(np.mean(np.square(sound))))

    bangs = [crest(bang(np.random.default_rng(s))) for s in range(10)]
    breaths = [crest(breath(np.random.default_rng(s))) for s in range(10)]

    assert np.median(bangs) > 1.3 * np.median(breaths)
