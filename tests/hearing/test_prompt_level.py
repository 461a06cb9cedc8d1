"""Prompts set for intelligibility within a safe level."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.hearing.equaliser import apply_band_gains
from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.measure import Calibration, prompt_octaves
from voicecheck.hearing.prompt_level import (
    PromptLimits,
    PromptVerdict,
    level_prompt,
)
from voicecheck.hearing.sii import octave_spectrum_db, sii_octave, standard_speech
from voicecheck.hearing.sii_tables import VocalEffort
from voicecheck.hearing.spectrum import OctaveLevels, energy_sum_db

SPEECH = standard_speech(VocalEffort.NORMAL).scaled_to_dba(65)
IDLING = OctaveLevels.of((80, 80, 78, 76, 74, 70, 64, 56))
QUIET = OctaveLevels.of((-math.inf,) * 7)


def at_dba(level: float) -> OctaveLevels:
    return IDLING.scaled_to_dba(level)


def changed(prompt: OctaveLevels, gains: tuple[float, ...]) -> OctaveLevels:
    below = len(prompt.level_db) - len(gains)
    return prompt.shifted([gains[0]] * below + list(gains))


def test_a_clear_prompt_is_left_alone() -> None:
    """In quiet nothing is changed, although less would do."""
    setting = level_prompt(SPEECH, QUIET)

    assert setting.verdict is PromptVerdict.REACHED
    assert setting.band_gains_db == (0,) * 6
    assert setting.sii == setting.sii_before > 0.95


def test_gain_alone_is_tried_first_and_kept_small() -> None:
    """Where turning up is enough, no tone is changed, and 0.1 dB less fails."""
    setting = level_prompt(SPEECH, at_dba(65))

    assert setting.verdict is PromptVerdict.REACHED
    assert setting.equaliser_db == (0,) * 6
    assert setting.gain_db > 0
    assert setting.sii >= 0.75
    softer = changed(SPEECH, (setting.gain_db - 0.1,) * 6)
    assert index_of(softer, at_dba(65)) < 0.75


def test_equalisation_reaches_what_gain_alone_cannot() -> None:
    """In 73.6 dBA the flat prompt at the cap fails; equalised it does not."""
    noise = at_dba(73.6)
    flat = SPEECH.scaled_to_dba(82)
    setting = level_prompt(SPEECH, noise)

    assert index_of(flat, noise) < 0.75
    assert setting.verdict is PromptVerdict.REACHED
    assert any(setting.equaliser_db)
    assert setting.sii >= 0.75
    assert setting.level_dba <= 82


def test_too_much_noise_is_said_plainly() -> None:
    """In 85 dBA at the ear the cap stands in the way; the nearest is given."""
    setting = level_prompt(SPEECH, at_dba(85))

    assert setting.verdict is PromptVerdict.SAFE_LEVEL
    assert setting.sii_before < setting.sii < 0.75
    assert setting.level_dba == pytest.approx(82, abs=0.3)


def test_a_weak_device_is_said_plainly() -> None:
    """With 3 dB of gain left it is the device that is not loud enough."""
    setting = level_prompt(SPEECH, at_dba(68), limits=PromptLimits(max_gain_db=3))

    assert setting.verdict is PromptVerdict.GAIN_LIMIT
    assert max(setting.band_gains_db) <= 3


def test_hearing_loss_may_put_it_out_of_reach() -> None:
    """With thresholds of 120 dB no setting helps at all."""
    setting = level_prompt(
        SPEECH, QUIET, threshold_db=120, limits=PromptLimits(target_sii=0.99)
    )

    assert setting.verdict is PromptVerdict.OUT_OF_REACH


def test_a_dangerously_loud_prompt_is_turned_down() -> None:
    """A prompt of 100 dBA comes down to the cap even where it was clear."""
    setting = level_prompt(SPEECH.scaled_to_dba(100), at_dba(60))

    assert setting.level_before_dba == pytest.approx(100)
    assert setting.level_dba <= 82 + 1e-9
    assert setting.verdict is PromptVerdict.REACHED


def test_prompt_and_noise_at_the_cap_make_85() -> None:
    """The reason for the default cap: 82 and 82 dBA add up to 85 dBA."""
    cap = PromptLimits().cap_dba

    assert energy_sum_db((cap, cap)) == pytest.approx(85, abs=0.02)


def test_a_prompt_without_treble_is_handled() -> None:
    """A prompt sampled at 8 kHz has silent bands and still gets a setting."""
    dull = OctaveLevels.of((50, 60, 62, 58, 52, 40, -math.inf))
    setting = level_prompt(dull, at_dba(60))

    assert math.isfinite(setting.sii)
    assert setting.level_dba <= 82 + 1e-9


def test_the_sound_itself_comes_out_as_promised() -> None:
    """Filtering a speech-shaped sound and measuring again gives the index.

    The filter's slopes cost or gain a little between bands: 0.03 is allowed.
    """
    rate = 16_000
    sound = apply_band_gains(
        np.random.default_rng(5).standard_normal(6 * rate) * 0.02,
        rate,
        (6, 4, -4, -14, -24, -34),
    )
    scale = Calibration(100.0)
    prompt = prompt_octaves(sound, rate, scale)
    noise = at_dba(prompt.a_level_dba)
    limits = PromptLimits(cap_dba=prompt.a_level_dba + 8)
    setting = level_prompt(prompt, noise, limits=limits)
    set_sound = apply_band_gains(sound, rate, setting.band_gains_db)
    measured = prompt_octaves(set_sound, rate, scale)

    assert any(setting.equaliser_db)
    assert index_of(measured, noise) == pytest.approx(setting.sii, abs=0.03)
    assert measured.a_level_dba == pytest.approx(setting.level_dba, abs=1.0)


def index_of(prompt: OctaveLevels, noise: OctaveLevels) -> float:
    return sii_octave(octave_spectrum_db(prompt), octave_spectrum_db(noise)).index


@pytest.mark.parametrize(
    "limits",
    [
        {"target_sii": 0},
        {"target_sii": 1.1},
        {"equaliser_db": -1},
        {"equaliser_db": 30},
        {"cap_dba": math.inf},
        {"max_gain_db": math.nan},
    ],
)
def test_impossible_limits_are_refused(limits: dict[str, float]) -> None:
    """A limit that nothing could meet, or none at all, gets a clear error."""
    with pytest.raises(LevelError, match="give"):
        PromptLimits(**limits)


def test_a_silent_prompt_is_refused() -> None:
    """There is nothing to set on silence."""
    with pytest.raises(LevelError, match="speech"):
        level_prompt(QUIET, at_dba(60))


@settings(deadline=None, max_examples=15)
@given(
    st.lists(st.floats(20, 95), min_size=7, max_size=7),
    st.lists(st.floats(20, 80), min_size=7, max_size=7),
    st.floats(60, 85),
    st.integers(0, 12),
)
def test_no_setting_ever_breaks_a_limit(
    noise: list[float], prompt: list[float], cap: float, reach: int
) -> None:
    """Cap, device and equaliser hold in any noise, and the verdict is true."""
    limits = PromptLimits(cap_dba=cap, equaliser_db=reach)
    spoken, around = OctaveLevels.of(prompt), OctaveLevels.of(noise)
    setting = level_prompt(spoken, around, limits=limits)
    result = changed(spoken, setting.band_gains_db)

    assert setting.level_dba <= cap + 1e-6
    assert max(setting.band_gains_db) <= limits.max_gain_db + 1e-6
    assert max(map(abs, setting.equaliser_db)) <= reach + 1e-6
    assert index_of(result, around) == pytest.approx(setting.sii, abs=1e-6)
    assert result.a_level_dba == pytest.approx(setting.level_dba, abs=1e-6)
    assert (setting.verdict is PromptVerdict.REACHED) is (setting.sii >= 0.75 - 1e-9)


@settings(deadline=None, max_examples=6)
@given(st.floats(30, 90), st.floats(0, 15))
def test_more_noise_never_gives_a_clearer_prompt(level: float, more: float) -> None:
    """Once the target fails, it fails in more of the same noise too."""
    quieter = level_prompt(SPEECH, at_dba(level))
    louder = level_prompt(SPEECH, at_dba(level + more))

    reached = PromptVerdict.REACHED
    assert louder.verdict is not reached or quieter.verdict is reached
    if louder.verdict is not PromptVerdict.REACHED:
        assert louder.sii <= max(quieter.sii, 0.75) + 1e-9
