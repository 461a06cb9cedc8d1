"""Resampling at once and in blocks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import resample_poly

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.resample import StreamResampler, resample

RATES_HZ = (8_000, 16_000, 22_050, 44_100, 48_000, 96_000)


def noise(samples: int, seed: int = 1) -> Frames:
    """White noise well below full scale."""
    rng = np.random.default_rng(seed)
    return (0.1 * rng.standard_normal(samples)).astype(np.float32)


@settings(deadline=None, max_examples=40)
@given(
    rate_hz=st.sampled_from(RATES_HZ),
    cuts=st.lists(st.integers(0, 4_000), max_size=12),
    samples=st.integers(0, 4_000),
)
def test_cutting_a_stream_anywhere_gives_the_same_sound(
    rate_hz: int, cuts: list[int], samples: int
) -> None:
    """Blocks of any size, empty ones too, give what one piece gives."""
    frames = noise(samples)
    edges = sorted(min(cut, samples) for cut in cuts)
    stream = StreamResampler(rate_hz, RATE_HZ)

    pieces = [stream.push(block) for block in np.split(frames, edges)]
    joined = np.concatenate([*pieces, stream.finish()])

    whole = resample(frames, rate_hz, RATE_HZ)
    assert joined.size == whole.size
    np.testing.assert_allclose(joined, whole, atol=1e-6)


@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_a_tone_keeps_its_pitch_level_and_place(rate_hz: int) -> None:
    """A 1 kHz tone comes out as a 1 kHz tone of the same level and phase."""
    tone = np.sin(2 * np.pi * 1000 * np.arange(rate_hz) / rate_hz)
    wanted = np.sin(2 * np.pi * 1000 * np.arange(RATE_HZ) / RATE_HZ)

    made = resample(tone.astype(np.float32), rate_hz, RATE_HZ)

    middle = slice(RATE_HZ // 4, 3 * RATE_HZ // 4)
    np.testing.assert_allclose(made[middle], wanted[middle], atol=2e-3)


def test_what_16_khz_cannot_hold_is_taken_out() -> None:
    """A 10 kHz tone at 48 kHz leaves less than -80 dB and does not fold back."""
    tone = np.sin(2 * np.pi * 10_000 * np.arange(48_000) / 48_000)

    made = resample(tone.astype(np.float32), 48_000, RATE_HZ)

    middle = made[RATE_HZ // 4 : 3 * RATE_HZ // 4]
    assert np.sqrt(np.mean(middle**2)) < 1e-4


def test_another_library_gives_the_same_sound() -> None:
    """SciPy's polyphase resampler agrees on a slow sweep within 1 %.

    Source: scipy.signal.resample_poly, an independent implementation.
    """
    time_s = np.arange(48_000) / 48_000
    sweep = np.sin(2 * np.pi * (200 * time_s + 1400 * time_s**2)).astype(np.float32)

    ours = resample(sweep, 48_000, RATE_HZ)

    theirs = resample_poly(sweep, 1, 3)
    middle = slice(2_000, 14_000)
    np.testing.assert_allclose(ours[middle], theirs[middle], atol=0.01)


@pytest.mark.parametrize("rates_hz", [(0, 16_000), (16_000, -1)])
def test_a_rate_that_is_none_is_refused(rates_hz: tuple[int, int]) -> None:
    """Zero and negative rates are errors, at once and in a stream."""
    with pytest.raises(ValueError, match="above 0 Hz"):
        resample(noise(10), *rates_hz)
    with pytest.raises(ValueError, match="above 0 Hz"):
        StreamResampler(*rates_hz)
