"""Keeping peaks below full scale."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.audio.limiter import CEILING, limit_peaks

RATE_HZ = 16_000


@given(
    seed=st.integers(0, 1000),
    gain=st.floats(0.01, 50),
    count=st.integers(1, 3000),
)
def test_nothing_passes_the_ceiling(seed: int, gain: float, count: int) -> None:
    """However loud and however short, no sample comes out past it."""
    noise = np.random.default_rng(seed).standard_normal(count).astype(np.float32)
    out = limit_peaks(noise * np.float32(gain), RATE_HZ)
    assert out.shape == noise.shape
    assert out.dtype == np.float32
    assert float(np.abs(out).max()) <= CEILING + 1e-6


def test_a_sound_below_the_ceiling_is_left_alone() -> None:
    """Not one sample changes."""
    sound = (0.5 * np.sin(np.arange(1000) / 10)).astype(np.float32)
    assert np.array_equal(limit_peaks(sound, RATE_HZ), sound)


def test_what_lies_far_from_a_peak_keeps_its_level() -> None:
    """One loud click does not turn the whole prompt down."""
    sound = (0.3 * np.sin(np.arange(RATE_HZ) / 10)).astype(np.float32)
    sound[8_000] = 1.6
    out = limit_peaks(sound, RATE_HZ)
    far = np.r_[0:7_000, 9_000:RATE_HZ]
    assert np.allclose(out[far], sound[far], atol=1e-6)
    assert abs(out[8_000]) <= CEILING


def test_the_gain_moves_smoothly() -> None:
    """From one sample to the next it changes by less than one in a hundred."""
    sound = np.full(4_000, 0.3, dtype=np.float32)
    sound[2_000] = 1.8
    gain = limit_peaks(sound, RATE_HZ) / sound
    assert float(np.abs(np.diff(gain)).max()) < 0.02


def test_far_too_loud_a_sound_is_turned_down_as_a_whole() -> None:
    """Peaks are pulled down by 6 dB at most; the rest is plain gain."""
    sound = np.zeros(8_000, dtype=np.float32)
    sound[1_000] = 10.0
    sound[6_000] = 1.0
    out = limit_peaks(sound, RATE_HZ)
    assert out[6_000] == pytest.approx(CEILING * 2 / 10, rel=0.01)


def test_silence_stays_silence() -> None:
    """Nothing is divided by zero."""
    assert not limit_peaks(np.zeros(100, dtype=np.float32), RATE_HZ).any()
    assert limit_peaks(np.zeros(0, dtype=np.float32), RATE_HZ).size == 0
