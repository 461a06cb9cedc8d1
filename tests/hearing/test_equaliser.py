"""The prompt's sound is changed as the setting says."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.hearing.equaliser import apply_band_gains
from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.measure import band_levels_db
from voicecheck.hearing.spectrum import OCTAVE_HZ

RATE = 16_000


def noise(seconds: float = 8) -> np.ndarray:
    return np.random.default_rng(3).standard_normal(int(seconds * RATE)) * 0.05


def changes_db(gains: tuple[float, ...]) -> np.ndarray:
    before = noise()
    after = apply_band_gains(before, RATE, gains)
    levels = [
        band_levels_db(sound, RATE, OCTAVE_HZ, partial_top=True)
        for sound in (before, after)
    ]
    return np.subtract(levels[1], levels[0])


def test_no_gain_changes_nothing() -> None:
    """Six zeros give the sound back, sample for sample."""
    sound = noise(1)

    assert apply_band_gains(sound, RATE, (0,) * 6) == pytest.approx(sound, abs=1e-9)


def test_even_gain_is_exact() -> None:
    """The same gain in every band is a plain change of level."""
    assert changes_db((6.0,) * 6) == pytest.approx(np.full(8, 6.0), abs=0.05)


def test_gentle_slopes_reach_their_bands() -> None:
    """Neighbours a few decibels apart come out within 1.5 dB of the setting."""
    gains = (-3.5, -6.5, -1.5, 2.5, 6.5, 5.5)

    assert changes_db(gains)[2:] == pytest.approx(gains, abs=1.5)


def test_what_lies_below_follows_the_lowest_band() -> None:
    """63 and 125 Hz move with 250 Hz."""
    assert changes_db((-6, 0, 0, 0, 0, 0))[:2] == pytest.approx([-6, -6], abs=0.5)


def test_the_sound_is_not_delayed() -> None:
    """A click stays where it is."""
    click = np.zeros(RATE)
    click[5000] = 1.0
    changed = apply_band_gains(click, RATE, (-3, 0, 3, 6, 3, 0))

    assert int(np.abs(changed).argmax()) == 5000
    assert changed.shape == click.shape


def test_wrong_input_is_refused() -> None:
    """Five gains, or no sound, get a clear error."""
    with pytest.raises(LevelError, match="six"):
        apply_band_gains(noise(1), RATE, (0,) * 5)
    with pytest.raises(LevelError, match="one channel"):
        apply_band_gains(np.zeros(0), RATE, (0,) * 6)
