"""Mixing at a stated ratio of speech to noise."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.level import rms_level_dbfs
from voicecheck.audio.mixing import (
    PEAK_LIMIT,
    active_level_db,
    active_mask,
    guard_peak,
    mix_at_snr,
)


def tone(seconds: float, amplitude: float = 0.5) -> Frames:
    """A 400 Hz tone, whole periods in every 20 ms frame."""
    time_s = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    return (amplitude * np.sin(2 * np.pi * 400 * time_s)).astype(np.float32)


def test_full_scale_sine_is_three_db_down() -> None:
    """A full-scale sine measures -3.01 dB re RMS 1.0 (arithmetic)."""
    assert rms_level_dbfs(tone(1, 1.0)) == pytest.approx(-3.0103, abs=1e-3)


@given(lead=st.integers(0, 60), tail=st.integers(0, 60))
def test_pauses_do_not_lower_the_active_level(lead: int, tail: int) -> None:
    """Silence before and after a word leaves its level alone.

    Source: ITU-T P.56, what active speech level means.
    """
    word = tone(0.4)
    clip = np.concatenate([np.zeros(lead * 320), word, np.zeros(tail * 320)])
    level = active_level_db(clip.astype(np.float32))
    assert level == pytest.approx(rms_level_dbfs(word), abs=1e-6)


@settings(deadline=None)
@given(snr_db=st.floats(-10, 40), seed=st.integers(0, 1000))
def test_ratio_is_what_was_asked(snr_db: float, seed: int) -> None:
    """What the mix added, taken out again, lies at the asked ratio."""
    rng = np.random.default_rng(seed)
    word = np.concatenate([np.zeros(6400), tone(0.5), np.zeros(6400)])
    word = word.astype(np.float32)
    hiss = rng.standard_normal(word.size + 50).astype(np.float32)
    mixed = mix_at_snr(word, hiss, snr_db)
    added = mixed.astype(np.float64) - word
    level = rms_level_dbfs(added.astype(np.float32))
    assert active_level_db(word) - level == pytest.approx(snr_db, abs=0.05)


def test_mask_marks_the_word_alone() -> None:
    """Ten frames of tone between silences give ten true frames."""
    clip = np.concatenate([np.zeros(1600), tone(0.2), np.zeros(1700)])
    mask = active_mask(clip.astype(np.float32))
    assert mask.sum() == 10
    assert mask[5:15].all()


@pytest.mark.parametrize(
    ("speech", "hiss"),
    [
        (tone(0.5), tone(0.4)),
        (np.zeros(100, dtype=np.float32), tone(0.5)),
        (tone(0.1), np.zeros(3200, dtype=np.float32)),
    ],
)
def test_impossible_mixes_are_refused(speech: Frames, hiss: Frames) -> None:
    """Too short noise, silent speech and silent noise are errors."""
    with pytest.raises(ValueError, match="noise"):
        mix_at_snr(speech, hiss, 0.0)


def test_empty_clip_is_refused() -> None:
    """An empty clip has no level."""
    with pytest.raises(ValueError, match="not empty"):
        rms_level_dbfs(np.zeros(0, dtype=np.float32))


@given(amplitude=st.floats(0.01, 30))
def test_guard_only_turns_down(amplitude: float) -> None:
    """Peaks end below the limit, and quiet clips come back untouched."""
    clip = tone(0.1, amplitude)
    guarded = guard_peak(clip)
    assert np.max(np.abs(guarded)) <= 0.98 + 1e-5
    if float(np.max(np.abs(clip))) <= PEAK_LIMIT:  # 0.98 is no 32-bit number
        assert guarded is clip
