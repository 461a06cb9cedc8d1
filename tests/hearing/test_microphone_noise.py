"""Octave levels of a recorded noise."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.measure import Calibration, noise_octaves
from voicecheck.hearing.microphone_noise import calibrated_octaves, recorded_noise


def pink(rate_hz: int, seconds: float = 2.0) -> np.ndarray:
    """Noise of equal power in every octave, RMS 1.0."""
    count = int(rate_hz * seconds)
    spectrum = np.fft.rfft(np.random.default_rng(1).standard_normal(count))
    hz = np.fft.rfftfreq(count, 1 / rate_hz)
    spectrum[1:] /= np.sqrt(hz[1:])
    spectrum[0] = 0
    data = np.fft.irfft(spectrum, count)
    return data / np.sqrt(np.mean(data**2))


def test_a_fast_microphone_is_measured_in_every_octave() -> None:
    """At 48 kHz nothing is assumed, and the figures are those of `noise_octaves`."""
    found = recorded_noise(pink(48_000), 48_000)
    expected = noise_octaves(pink(48_000), 48_000, Calibration(0.0))
    assert found.assumed_hz == ()
    assert found.octave.level_db == pytest.approx(expected.level_db)


def test_a_slow_microphone_stands_in_for_its_highest_octave() -> None:
    """At 16 kHz the 8 kHz octave is taken for as loud as the one below."""
    found = recorded_noise(pink(16_000), 16_000)
    assert found.assumed_hz == (8000.0,)
    assert found.octave.level_db[-1] == found.octave.level_db[-2]


def test_a_reference_moves_all_octaves_alike() -> None:
    """Calibration adds one figure; pink noise stays flat."""
    found = recorded_noise(pink(48_000), 48_000)
    level = calibrated_octaves(found, Calibration(90.0 - found.octave.a_level_dba))
    assert level.a_level_dba == pytest.approx(90.0)
    middle = level.level_db[3:]
    assert max(middle) - min(middle) < 1.0


def test_silence_is_no_noise() -> None:
    """A muted microphone is not taken for a quiet yard."""
    found = recorded_noise(np.zeros(48_000), 48_000)
    assert found.is_silent
    with pytest.raises(LevelError, match="mute"):
        calibrated_octaves(found, Calibration(100.0))


@pytest.mark.parametrize("rate_hz", [4_000, 2_000])
def test_too_slow_a_microphone_is_refused(rate_hz: int) -> None:
    """Without the octaves up to 2 kHz nothing can be said of speech."""
    with pytest.raises(LevelError, match="8 kHz"):
        recorded_noise(np.ones(rate_hz), rate_hz)


def test_telephone_sound_is_measured_as_far_as_it_goes() -> None:
    """8 kHz holds the octaves up to 2 kHz; two are assumed."""
    assert recorded_noise(pink(8_000), 8_000).assumed_hz == (4000.0, 8000.0)
