"""The short tones of the dialogue."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from voicecheck.audio.level import rms_level_dbfs
from voicecheck.audio.tones import TONE_DBFS, TONE_RATE_HZ, Tone, make_tone

ALL = pytest.mark.parametrize("tone", list(Tone))


def pitch_hz(tone: Tone, part: slice) -> float:
    """Mean frequency of a part, from its zero crossings."""
    frames = make_tone(tone).frames[part]
    crossings = np.flatnonzero(np.diff(np.signbit(frames)))
    periods = (len(crossings) - 1) / 2
    return float(periods * TONE_RATE_HZ / (crossings[-1] - crossings[0]))


@ALL
def test_a_tone_is_short_levelled_and_without_clicks(tone: Tone) -> None:
    """Below 150 ms, at the stated level, no step greater than its slope asks."""
    sound = make_tone(tone)

    assert 0.05 < sound.seconds < 0.15
    assert sound.frames.dtype == np.float32
    assert rms_level_dbfs(sound.frames) == pytest.approx(TONE_DBFS, abs=0.01)
    steepest = 2 * np.pi * 1600 / TONE_RATE_HZ * np.max(np.abs(sound.frames))
    padded = np.concatenate([[0.0], sound.frames, [0.0]])
    assert np.max(np.abs(np.diff(padded))) < steepest
    assert abs(sound.frames[0]) < 1e-4
    assert abs(sound.frames[-1]) < 1e-4


@ALL
def test_a_tone_stays_in_the_band_that_ear_defenders_pass(tone: Tone) -> None:
    """99.9 % of the energy lies from 500 to 2000 Hz (common practice, no source)."""
    frames = make_tone(tone).frames.astype(np.float64)
    power = np.abs(np.fft.rfft(frames, 1 << 16)) ** 2
    frequency_hz = np.fft.rfftfreq(1 << 16, 1 / TONE_RATE_HZ)
    inside = (frequency_hz >= 500) & (frequency_hz <= 2000)
    assert power[inside].sum() > 0.999 * power.sum()


def test_listening_rises_and_not_understood_falls() -> None:
    """The two that may follow each other move in opposite directions."""
    first, last = slice(0, 900), slice(-900, None)
    assert pitch_hz(Tone.LISTENING, last) > 1.3 * pitch_hz(Tone.LISTENING, first)
    assert pitch_hz(Tone.NOT_UNDERSTOOD, last) < 0.8 * pitch_hz(
        Tone.NOT_UNDERSTOOD, first
    )


def test_taken_is_the_shortest_and_stays_at_one_pitch() -> None:
    """By length and by moving neither up nor down it differs from the others."""
    others = [tone for tone in Tone if tone is not Tone.TAKEN]
    assert all(
        make_tone(Tone.TAKEN).seconds < 0.7 * make_tone(t).seconds for t in others
    )
    first, last = slice(0, 700), slice(-700, None)
    assert pitch_hz(Tone.TAKEN, first) == pytest.approx(
        pitch_hz(Tone.TAKEN, last), 0.05
    )


def test_the_warning_is_three_bursts() -> None:
    """Its envelope has two gaps of silence."""
    envelope = np.abs(make_tone(Tone.WARNING).frames) > 1e-6
    quiet = np.convolve(envelope, np.ones(100), "same") == 0
    assert np.count_nonzero(np.diff(quiet.astype(int)) == 1) == 2


def test_no_two_tones_are_alike() -> None:
    """No tone correlates with another at any shift."""
    for one, other in combinations(Tone, 2):
        a, b = make_tone(one).frames, make_tone(other).frames
        likeness = np.max(np.abs(np.correlate(a, b, "full")))
        assert likeness / (np.linalg.norm(a) * np.linalg.norm(b)) < 0.7


@ALL
def test_the_loudest_tone_does_not_clip(tone: Tone) -> None:
    """At -6 dBFS every tone fits; above, the level is refused."""
    assert np.max(np.abs(make_tone(tone, -6.0).frames)) <= 1.0
    with pytest.raises(ValueError, match="clip"):
        make_tone(tone, -5.9)
