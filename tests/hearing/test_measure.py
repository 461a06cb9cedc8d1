"""Octave levels of sounds against IEC 61260-1, arithmetic and a library."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import signal as dsp

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.measure import (
    Calibration,
    band_filter,
    band_levels_db,
    calibrate_from_meter,
    calibrate_from_tone,
    noise_octaves,
    prompt_octaves,
)
from voicecheck.hearing.sii_tables import THIRD_OCTAVE
from voicecheck.hearing.spectrum import OCTAVE_HZ, exact_midband_hz

RATE = 48_000


def white(seconds: float, rate: int = RATE, rms: float = 0.1) -> np.ndarray:
    return np.random.default_rng(7).standard_normal(int(seconds * rate)) * rms


def tone(hz: float, seconds: float, rate: int = RATE, rms: float = 0.1) -> np.ndarray:
    time = np.arange(int(seconds * rate)) / rate
    return math.sqrt(2) * rms * np.sin(2 * np.pi * hz * time)


@pytest.mark.parametrize("per_octave", [1, 3])
@pytest.mark.parametrize("rate", [24_000, 48_000])
def test_filters_keep_to_class_1(rate: int, per_octave: int) -> None:
    """Every filter lies within IEC 61260-1:2014 Table 1, class 1.

    The limits are those that PyOctaveBand carries from the standard.
    """
    compliance = pytest.importorskip("pyoctaveband.compliance")
    bands = OCTAVE_HZ if per_octave == 1 else THIRD_OCTAVE.midband_hz
    for hz in bands:
        middle = exact_midband_hz(hz, per_octave)
        sections = band_filter(hz, rate, bands_per_octave=per_octave)
        omega = np.geomspace(middle / 16, 0.499 * rate, 4000) / middle
        at = np.append(omega, 1.0) * middle
        _, response = dsp.sosfreqz(sections, worN=at, fs=rate)
        attenuation = -20 * np.log10(np.maximum(np.abs(response), 1e-12))
        low, high = compliance.class_limits(per_octave, 1, omega)
        relative = attenuation[:-1] - attenuation[-1]

        assert np.all(relative >= low)
        assert np.all(relative <= high)


def test_white_noise_rises_three_decibels_an_octave() -> None:
    """White noise of -20 dB has -20 + 10 log10(2 B / rate) dB in each band."""
    levels = band_levels_db(white(20), RATE, OCTAVE_HZ)
    widths = np.array(
        [exact_midband_hz(hz) * (10**0.15 - 10**-0.15) for hz in OCTAVE_HZ]
    )

    assert np.asarray(levels) == pytest.approx(
        -20 + 10 * np.log10(2 * widths / RATE), abs=0.4
    )


@pytest.mark.parametrize(("per_octave", "bands"), [(1, OCTAVE_HZ), (3, None)])
def test_a_library_finds_the_same_levels(
    per_octave: int, bands: tuple[float, ...] | None
) -> None:
    """PyOctaveBand's filter bank gives the same band levels of sloping noise."""
    library = pytest.importorskip("pyoctaveband")
    bands = bands or THIRD_OCTAVE.midband_hz
    noise = dsp.lfilter([1], [1, -0.9], white(10))
    theirs, middles = library.octavefilter(
        noise, RATE, fraction=per_octave, limits=[50, 10_000], dbfs=True
    )
    by_middle = dict(zip(np.round(np.log10(middles), 2), theirs, strict=True))
    ours = band_levels_db(noise, RATE, bands, bands_per_octave=per_octave)
    expected = [
        by_middle[round(math.log10(exact_midband_hz(hz, per_octave)), 2)]
        for hz in bands
    ]

    assert ours == pytest.approx(expected, abs=0.15)


def test_a_library_finds_the_same_a_weighted_level() -> None:
    """PyOctaveBand's A-weighted level of the whole signal is near our sum."""
    library = pytest.importorskip("pyoctaveband")
    noise = dsp.lfilter([1], [1, -0.9], white(10))
    ours = noise_octaves(noise, RATE, Calibration(0.0)).a_level_dba

    assert ours == pytest.approx(float(library.laeq(noise, RATE, dbfs=True)), abs=0.3)


def test_a_tone_is_in_its_own_band() -> None:
    """A 1 kHz tone has its whole level at 1 kHz and almost none elsewhere."""
    levels = band_levels_db(tone(1000, 3), RATE, OCTAVE_HZ)

    assert levels[4] == pytest.approx(-20, abs=0.1)
    assert max(levels[:3] + levels[6:]) < -55


def test_calibrator_tone_sets_the_scale() -> None:
    """A 94 dB calibrator (IEC 60942) recorded at -20 dB makes 1.0 be 114 dB."""
    calibration = calibrate_from_tone(tone(1000, 2))
    levels = noise_octaves(tone(1000, 3, rms=0.2), RATE, calibration)

    assert calibration.full_scale_db == pytest.approx(114.0, abs=0.01)
    assert levels.level_db[4] == pytest.approx(100.0, abs=0.1)


def test_meter_reading_sets_the_scale() -> None:
    """After calibrating by a meter the noise has the level that it read."""
    noise = white(5)
    calibration = calibrate_from_meter(noise, RATE, 83.0)

    assert noise_octaves(noise, RATE, calibration).a_level_dba == pytest.approx(83.0)


def test_pauses_do_not_make_a_prompt_softer() -> None:
    """Only the frames with speech in them count for a prompt."""
    spoken = tone(1000, 1)
    paused = np.concatenate([np.zeros(RATE), spoken, np.zeros(2 * RATE)])
    levels = prompt_octaves(paused, RATE, Calibration(100.0))

    assert levels.level_db[4] == pytest.approx(80.0, abs=0.2)


def test_a_slow_prompt_has_nothing_above_half_the_rate() -> None:
    """At 16 kHz the top octave holds what is there; at 8 kHz it is silent."""
    at_16 = prompt_octaves(white(5, 16_000), 16_000, Calibration(0.0))
    at_8 = prompt_octaves(white(5, 8_000), 8_000, Calibration(0.0))
    width = 8000 - exact_midband_hz(8000) / 10**0.15

    assert at_16.level_db[-1] == pytest.approx(
        -20 + 10 * math.log10(2 * width / 16_000), abs=0.4
    )
    assert at_8.level_db[-1] == -math.inf


def test_a_noise_recorded_too_slowly_is_refused() -> None:
    """A measured noise needs its whole top octave; the error says which rate."""
    with pytest.raises(LevelError, match=r"8000 Hz band.*16000 Hz.*by hand"):
        noise_octaves(white(1, 16_000), 16_000, Calibration(100.0))


@pytest.mark.parametrize(
    "samples", [np.zeros(0), np.zeros((10, 2)), np.array([0.1, np.nan])]
)
def test_unusable_recordings_are_refused(samples: np.ndarray) -> None:
    """Empty, two-channel and broken recordings get a clear error."""
    with pytest.raises(LevelError, match="one channel"):
        band_levels_db(samples, RATE, OCTAVE_HZ)


def test_silence_cannot_calibrate_nor_speak() -> None:
    """A silent recording is no calibration and no prompt."""
    silence = np.zeros(RATE)
    with pytest.raises(LevelError, match="steady tone"):
        calibrate_from_tone(silence)
    with pytest.raises(LevelError, match="meter"):
        calibrate_from_meter(silence, RATE, 80.0)
    with pytest.raises(LevelError, match="speech"):
        prompt_octaves(silence, RATE, Calibration(0.0))
