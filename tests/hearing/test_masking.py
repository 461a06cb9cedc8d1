"""Whether a tone can be heard in noise."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.hearing.masking import CLEAR_DB, audible_margin_db, masked_threshold
from voicecheck.hearing.spectrum import OctaveLevels

levels = st.lists(st.floats(0, 120), min_size=8, max_size=8).map(OctaveLevels.of)


def test_a_loud_octave_masks_those_above_it() -> None:
    """7.5 dB less for each octave upward, none downward (ISO 7731, from memory)."""
    noise = OctaveLevels.of((50, 50, 90, 50, 50, 50, 50, 50))
    expected = (50, 50, 90, 82.5, 75, 67.5, 60, 52.5)
    assert masked_threshold(noise).level_db == pytest.approx(expected)


@given(noise=levels)
def test_the_threshold_never_lies_below_the_noise(noise: OctaveLevels) -> None:
    """Noise masks at least its own octave."""
    pairs = zip(masked_threshold(noise).level_db, noise.level_db, strict=True)
    assert all(threshold >= level for threshold, level in pairs)


@given(noise=levels, louder_db=st.floats(0.1, 30))
def test_louder_noise_takes_the_margin_away(
    noise: OctaveLevels, louder_db: float
) -> None:
    """A signal loses what the noise gains."""
    signal = OctaveLevels.of([70.0] * 8)
    before = audible_margin_db(signal, noise)
    after = audible_margin_db(signal, noise.shifted(louder_db))
    assert after == pytest.approx(before - louder_db)


def test_one_octave_in_the_clear_is_enough() -> None:
    """The best octave counts: 10 dB over the masked threshold is clear."""
    noise = OctaveLevels.of((80, 80, 80, 70, 60, 60, 60, 60))
    signal = OctaveLevels.of((0, 0, 0, 0, 0, 70, 0, 0))
    assert audible_margin_db(signal, noise) == pytest.approx(CLEAR_DB)


def test_seven_and_eight_octaves_are_lined_up() -> None:
    """A signal without a 63 Hz level is compared from 125 Hz on."""
    noise = OctaveLevels.of([60.0] * 8)
    signal = OctaveLevels.of((-math.inf,) * 6 + (65.0,))
    assert audible_margin_db(signal, noise) == pytest.approx(5.0)


def test_silence_has_no_margin() -> None:
    """A silent signal is never heard, and without noise nothing masks."""
    silence = OctaveLevels.of([-math.inf] * 8)
    sound = OctaveLevels.of([60.0] * 8)
    assert audible_margin_db(silence, sound) == -math.inf
    assert audible_margin_db(sound, silence) == math.inf
    assert audible_margin_db(silence, silence) == -math.inf
