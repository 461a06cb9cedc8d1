"""Levels of blocks and recordings."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.level import (
    Loudness,
    clipped_share,
    judge_level,
    peak_level_dbfs,
    rms_level_dbfs,
)


def sine(amplitude: float, seconds: float = 1.0) -> Frames:
    """A 400 Hz tone of whole periods."""
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return (amplitude * np.sin(2 * np.pi * 400 * time_s)).astype(np.float32)


@pytest.mark.parametrize(
    ("frames", "level_dbfs"),
    [
        (np.tile([1.0, -1.0], 800), 0.0),
        (sine(1.0), -3.0103),
        (sine(0.1), -23.0103),
        (np.zeros(160), float("-inf")),
    ],
    ids=["square", "sine", "sine at -20 dB", "silence"],
)
def test_rms_level_is_what_the_docstring_says(
    frames: Frames, level_dbfs: float
) -> None:
    """Square 0 dB, sine -3.01 dB, silence -inf (definition of RMS)."""
    assert rms_level_dbfs(frames.astype(np.float32)) == pytest.approx(
        level_dbfs, abs=1e-3
    )


@given(gain_db=st.floats(-60, 0))
def test_a_gain_moves_both_levels_by_itself(gain_db: float) -> None:
    """A gain in dB adds to the RMS level and to the peak."""
    loud, soft = sine(1.0), sine(10 ** (gain_db / 20))

    moved = rms_level_dbfs(soft) - rms_level_dbfs(loud)
    assert moved == pytest.approx(gain_db, abs=1e-3)
    assert peak_level_dbfs(soft) == pytest.approx(gain_db, abs=1e-3)


@pytest.mark.parametrize(
    "measure", [rms_level_dbfs, peak_level_dbfs, clipped_share, judge_level]
)
@pytest.mark.parametrize("shape", [(0,), (4, 2)])
def test_blocks_that_are_no_blocks_are_refused(measure, shape) -> None:
    """Nothing is measured on an empty or a two-channel block."""
    with pytest.raises(ValueError, match="one-dimensional and not empty"):
        measure(np.zeros(shape, dtype=np.float32))


@pytest.mark.parametrize(
    ("frames", "loudness"),
    [
        (np.zeros(32_000, dtype=np.float32), Loudness.SILENT),
        (sine(0.0002), Loudness.SILENT),
        (sine(0.005), Loudness.TOO_QUIET),
        (sine(0.2), Loudness.GOOD),
        (np.clip(sine(3.0), -1, 1), Loudness.CLIPPING),
    ],
    ids=["zeros", "faint hiss", "far away", "headset", "overdriven"],
)
def test_a_recording_is_judged_in_plain_words(
    frames: Frames, loudness: Loudness
) -> None:
    """Each kind of recording gets its own word."""
    assert judge_level(frames).loudness is loudness


def test_one_word_in_a_silence_counts_by_its_loudest_part() -> None:
    """A short word in two seconds of silence is as good as a long one."""
    frames = np.concatenate([np.zeros(16_000), sine(0.2, 0.3), np.zeros(11_200)])

    level = judge_level(frames.astype(np.float32))

    assert level.loudness is Loudness.GOOD
    assert level.loudest_dbfs == pytest.approx(-16.99, abs=0.01)
    assert level.rms_dbfs < level.loudest_dbfs - 7


def test_only_exact_zeros_count_as_only_zeros() -> None:
    """The faintest sound is not "only zeros"."""
    frames = np.zeros(1600, dtype=np.float32)
    assert judge_level(frames).only_zeros
    frames[7] = 1e-6
    assert not judge_level(frames).only_zeros


def test_a_single_clipped_sample_is_no_clipping() -> None:
    """One sample at full scale is counted and forgiven."""
    frames = sine(0.2)
    frames[100] = 1.0

    level = judge_level(frames)

    assert level.clipped_share == pytest.approx(1 / frames.size)
    assert level.loudness is Loudness.GOOD
