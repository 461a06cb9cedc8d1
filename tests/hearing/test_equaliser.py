"""The prompt's sound is changed as the setting says."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.hearing.equaliser import apply_band_gains, apply_setting
from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.measure import Calibration, band_levels_db, prompt_octaves
from voicecheck.hearing.prompt_level import PromptSetting, PromptVerdict
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


def setting_of(gains: tuple[float, ...]) -> PromptSetting:
    return PromptSetting(
        gain_db=0.0,
        equaliser_db=gains,
        sii_before=0.0,
        sii=0.0,
        level_before_dba=0.0,
        level_dba=0.0,
        verdict=PromptVerdict.REACHED,
    )


@pytest.mark.parametrize("peak", range(6))
def test_a_setting_never_comes_out_louder_than_planned(peak: int) -> None:
    """With one band cut deep the slopes spill over; the level is held."""
    gains = tuple(-12.0 if band == peak else 6.0 for band in range(6))
    scale = Calibration(100.0)
    planned = prompt_octaves(noise(), RATE, scale).shifted([gains[0]] * 2 + list(gains))
    plain = apply_band_gains(noise(), RATE, gains)
    held = prompt_octaves(apply_setting(noise(), RATE, setting_of(gains)), RATE, scale)

    assert held.a_level_dba <= planned.a_level_dba + 1e-6
    assert held.a_level_dba <= prompt_octaves(plain, RATE, scale).a_level_dba + 1e-6


def test_holding_the_level_is_needed() -> None:
    """A tone in the slope of a deep cut would come out above its plan."""
    time = np.arange(2 * RATE) / RATE
    tone = 0.1 * np.sin(2 * np.pi * 1150 * time)
    gains = (0.0, 0.0, -12.0, 0.0, 0.0, 0.0)
    scale = Calibration(100.0)
    planned = prompt_octaves(tone, RATE, scale).shifted([0, 0, *gains]).a_level_dba
    plain = prompt_octaves(apply_band_gains(tone, RATE, gains), RATE, scale)
    held = prompt_octaves(apply_setting(tone, RATE, setting_of(gains)), RATE, scale)

    assert plain.a_level_dba > planned + 1
    assert held.a_level_dba == pytest.approx(planned, abs=1e-6)
