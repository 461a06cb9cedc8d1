"""Yard noise: level, repeatability and the shape of each spectrum."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.noise import NoiseKind, noise

TEN_SECONDS = 10 * RATE_HZ


def band_power_db(frames: Frames, low_hz: float, high_hz: float) -> float:
    """Return the power between two frequencies in dB."""
    power = np.abs(np.fft.rfft(frames.astype(np.float64))) ** 2
    freqs_hz = np.fft.rfftfreq(frames.size, 1 / RATE_HZ)
    picked = (freqs_hz >= low_hz) & (freqs_hz < high_hz)
    return float(10 * np.log10(power[picked].sum()))


def made(kind: NoiseKind, seed: int = 1, samples: int = TEN_SECONDS) -> Frames:
    """Make noise from a seed."""
    return noise(kind, samples, np.random.default_rng(seed))


@settings(max_examples=40, deadline=None)
@given(
    kind=st.sampled_from(NoiseKind),
    samples=st.integers(1, 40_000),
    seed=st.integers(0, 2**31),
)
def test_any_length_has_unit_rms(kind: NoiseKind, samples: int, seed: int) -> None:
    """Every kind gives finite float32 of the asked length at RMS 1."""
    frames = noise(kind, samples, np.random.default_rng(seed))
    assert frames.dtype == np.float32
    assert frames.shape == (samples,)
    assert np.isfinite(frames).all()
    rms = np.sqrt(np.mean(frames.astype(np.float64) ** 2))
    assert rms == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("kind", list(NoiseKind))
def test_same_seed_same_sound(kind: NoiseKind) -> None:
    """The seed alone decides the sound, and another seed changes it."""
    first = made(kind, 5, RATE_HZ)
    np.testing.assert_array_equal(first, made(kind, 5, RATE_HZ))
    assert not np.allclose(first, made(kind, 6, RATE_HZ))


def test_no_samples_is_refused() -> None:
    """Zero samples is an error, not an empty clip."""
    with pytest.raises(ValueError, match="at least one sample"):
        noise(NoiseKind.PINK, 0, np.random.default_rng(0))


def test_pink_has_equal_power_in_each_octave() -> None:
    """Octave bands agree within 1 dB, which is what defines pink noise.

    Source: definition of pink noise, power density inverse to frequency
    (IEC 60050-801, entry 801-21 group; number from memory).
    """
    frames = made(NoiseKind.PINK)
    bands = [band_power_db(frames, f, 2 * f) for f in (125, 250, 500, 1000, 2000)]
    assert max(bands) - min(bands) < 1.0


def test_alarm_tone_lies_where_alarms_sound() -> None:
    """The strongest tone lies within 700 to 2800 Hz and beats about once a second.

    Source: SAE J994 asks for a predominant frequency of 700 to 2800 Hz
    (from memory).
    """
    frames = made(NoiseKind.ALARM)
    power = np.abs(np.fft.rfft(frames))
    peak_hz = float(np.argmax(power)) * RATE_HZ / frames.size
    assert 700 <= peak_hz <= 2800
    block = RATE_HZ // 50
    level = np.abs(frames).reshape(-1, block).mean(axis=1)
    beats = np.abs(np.fft.rfft(level - level.mean()))
    rate_hz = float(np.argmax(beats)) * 50 / level.size
    assert 0.8 <= rate_hz <= 1.2


@pytest.mark.parametrize("seed", range(4))
def test_idle_shows_its_firing_frequency(seed: int) -> None:
    """The strongest line below 60 Hz is 32 to 45 Hz: 650 to 900 turns a minute.

    Source: arithmetic, a four-stroke six fires three times a turn.
    """
    frames = made(NoiseKind.IDLE, seed)
    power = np.abs(np.fft.rfft(frames))[: 60 * 10]
    power[:250] = 0
    firing_hz = float(np.argmax(power)) / 10
    assert 30 <= firing_hz <= 47


def test_wind_is_low() -> None:
    """Most of the wind's power lies below 200 Hz."""
    frames = made(NoiseKind.WIND)
    low = band_power_db(frames, 1, 200)
    assert low - band_power_db(frames, 200, 8000) > 6


def test_crusher_is_the_most_impulsive() -> None:
    """The crusher's crest factor passes that of steady pink noise."""
    crusher = np.max(np.abs(made(NoiseKind.CRUSHER)))
    pink = np.max(np.abs(made(NoiseKind.PINK)))
    assert crusher > pink + 1


def test_hydraulic_whine_is_tonal() -> None:
    """A few lines of the pump stand well above the median of the spectrum."""
    frames = made(NoiseKind.HYDRAULIC)
    power = np.abs(np.fft.rfft(frames)) ** 2
    section = power[2000:40000]
    assert 10 * np.log10(section.max() / np.median(section)) > 20


def test_babble_is_built_from_the_clips_given() -> None:
    """With one pure tone as the only talker, babble is that tone."""
    tone = np.sin(2 * np.pi * 500 * np.arange(RATE_HZ) / RATE_HZ).astype(np.float32)
    babble = noise(
        NoiseKind.BABBLE, 3 * RATE_HZ, np.random.default_rng(2), talkers=[tone]
    )
    inside = band_power_db(babble, 450, 550)
    assert inside - band_power_db(babble, 600, 8000) > 15


def test_babble_without_clips_has_the_rhythm_of_speech() -> None:
    """Its envelope moves more than that of steady noise does."""

    def movement(frames: Frames) -> float:
        blocks = frames[: frames.size // 320 * 320].reshape(-1, 320)
        return float(np.std(10 * np.log10(np.mean(blocks**2, axis=1))))

    assert movement(made(NoiseKind.BABBLE)) > 1.5 * movement(made(NoiseKind.PINK))
