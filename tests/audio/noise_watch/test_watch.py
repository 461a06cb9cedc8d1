"""The noise watch against signals whose levels are known."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.audio.noise_watch.bands import block_power
from voicecheck.audio.noise_watch.loudness import Advice, Hysteresis
from voicecheck.audio.noise_watch.watch import NoiseWatch
from voicecheck.audio.ports import BLOCK

VOICE_DBFS = -26.0


def sound(kind: NoiseKind, level_dbfs: float, seconds: float = 12.0) -> Frames:
    """Noise at an unweighted level."""
    piece = noise(kind, round(seconds * RATE_HZ), np.random.default_rng(1))
    gain = 10 ** (level_dbfs / 20) / np.sqrt(np.mean(piece**2))
    return np.asarray(piece * gain, dtype=np.float32)


def feed(watch: NoiseWatch, frames: Frames) -> None:
    """Let a watch listen while nobody speaks."""
    for at in range(0, len(frames) - BLOCK + 1, BLOCK):
        watch.background(frames[at : at + BLOCK])


def watched(kind: NoiseKind, level_dbfs: float) -> NoiseWatch:
    """A watch that heard a quiet yard, a voice, then this noise."""
    watch = NoiseWatch()
    feed(watch, sound(NoiseKind.PINK, -60.0, 4.0))
    watch.utterance(sound(NoiseKind.PINK, VOICE_DBFS, 0.6))
    feed(watch, sound(kind, level_dbfs))
    return watch


@pytest.mark.parametrize(
    ("hz", "weight_db"), [(125.0, -16.1), (500.0, -3.2), (1000.0, 0.0), (4000.0, 1.0)]
)
def test_a_tone_has_its_a_weighted_level(hz: float, weight_db: float) -> None:
    """Weighting A is that of the table in IEC 61672-1."""
    at_s = np.arange(BLOCK) / RATE_HZ
    tone = (0.1 * np.sqrt(2) * np.sin(2 * np.pi * hz * at_s)).astype(np.float32)

    power = block_power(tone)

    assert 10 * np.log10(power.total) == pytest.approx(-20.0, abs=0.05)
    assert 10 * np.log10(power.a_weighted) == pytest.approx(-20 + weight_db, abs=0.4)


@pytest.mark.parametrize("level_dbfs", [-60.0, -40.0, -20.0])
def test_steady_noise_gives_its_own_level(level_dbfs: float) -> None:
    """The floor of pink noise is its level within a decibel."""
    watch = NoiseWatch()

    feed(watch, sound(NoiseKind.PINK, level_dbfs))

    assert watch.noise_dbfs == pytest.approx(level_dbfs, abs=1.0)


def test_words_do_not_raise_the_floor() -> None:
    """A quarter of the blocks far louder leaves the floor where it is."""
    frames = sound(NoiseKind.PINK, -50.0)
    for at in range(0, len(frames) - 4 * BLOCK, 4 * BLOCK):
        frames[at : at + BLOCK] *= 30
    watch = NoiseWatch()

    feed(watch, frames)

    assert watch.noise_dbfs == pytest.approx(-50.0, abs=1.5)


def test_calibration_turns_the_level_into_sound_pressure() -> None:
    """A change is told in dB(A) of the calibrated microphone."""
    watch = NoiseWatch(full_scale_db=120.0)
    feed(watch, sound(NoiseKind.PINK, -60.0, 4.0))
    watch.utterance(sound(NoiseKind.PINK, VOICE_DBFS, 0.6))
    feed(watch, sound(NoiseKind.PINK, -24.0))
    change = watch.take_change()

    assert change is not None
    assert change.unit == "dB(A)"
    assert change.noise == pytest.approx(120.0 - 27.0, abs=1.5)


@pytest.mark.parametrize("snr_db", [10.0, 15.0])
def test_a_fair_ratio_changes_nothing(snr_db: float) -> None:
    """Where hearing is reliable nothing is said."""
    assert watched(NoiseKind.PINK, VOICE_DBFS - snr_db).take_change() is None


@pytest.mark.parametrize(
    ("kind", "advice"),
    [
        (NoiseKind.PINK, Advice.STEADY),
        (NoiseKind.IDLE, Advice.STEADY),
        (NoiseKind.CRUSHER, Advice.BANGS),
        (NoiseKind.WIND, Advice.LOW),
    ],
)
def test_the_advice_fits_the_noise(kind: NoiseKind, advice: Advice) -> None:
    """Too loud is told once, with what would help."""
    watch = watched(kind, VOICE_DBFS + 8.0)

    change = watch.take_change()

    assert change is not None
    assert change.too_loud
    assert change.advice is advice
    assert watch.take_change() is None


def test_it_goes_back_when_it_is_quiet_again() -> None:
    """The way back needs a better ratio and some seconds."""
    watch = watched(NoiseKind.PINK, VOICE_DBFS)
    watch.take_change()

    feed(watch, sound(NoiseKind.PINK, VOICE_DBFS - 4.5, 10.0))
    between = watch.take_change()
    feed(watch, sound(NoiseKind.PINK, VOICE_DBFS - 15.0, 10.0))
    after = watch.take_change()

    assert between is None
    assert after is not None
    assert not after.too_loud


@pytest.mark.parametrize(("reliable_db", "too_loud"), [(3.0, True), (-2.0, False)])
def test_a_recogniser_says_how_far_down_it_hears(
    reliable_db: float, too_loud: bool
) -> None:
    """A voice as loud as the noise is too faint for one, and not for another."""
    watch = NoiseWatch()
    watch.hears_down_to(reliable_db)
    feed(watch, sound(NoiseKind.PINK, -60.0, 4.0))
    watch.utterance(sound(NoiseKind.PINK, VOICE_DBFS, 0.6))

    feed(watch, sound(NoiseKind.PINK, VOICE_DBFS))

    assert watch.too_loud is too_loud


def test_a_horn_changes_nothing() -> None:
    """A single loud second is shorter than the patience."""
    hysteresis = Hysteresis()

    assert not hysteresis.saw(-10.0, 1.0)
    assert not hysteresis.saw(20.0, 1.0)
    assert not hysteresis.saw(-10.0, 1.0)


def test_levels_are_handed_over_once() -> None:
    """The seconds of all levels are what was listened to."""
    watch = NoiseWatch()
    feed(watch, sound(NoiseKind.PINK, -40.0, 10.0))

    levels = watch.take_levels()

    assert sum(levels.values()) == pytest.approx(10.0, abs=1.1)
    assert watch.take_levels() == {}
