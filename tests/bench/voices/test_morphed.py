"""Morphed talkers: how the envelope moves, how talkers are drawn and dealt."""

from __future__ import annotations

from unittest.mock import patch

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.bench.corpus import JUDGING, TUNING, Clip
from voicecheck.bench.voices import morphed
from voicecheck.bench.voices.morphed import (
    BREATH,
    PITCH,
    TEMPO,
    WARP,
    Morph,
    draw_morph,
    morphed_clips,
    warp_envelope,
)
from voicecheck.bench.voices.ports import Family
from voicecheck.errors import SynthesisError


def test_a_peak_moves_to_its_frequency_times_the_warp() -> None:
    """A formant at bin 100 stands at bin 115 after a warp of 1.15."""
    bins = np.arange(513)
    envelope = np.exp(-(((bins - 100) / 8) ** 2))[None] + 1e-6
    assert int(np.argmax(warp_envelope(envelope, 1.15)[0])) == 115


def test_a_warp_of_one_changes_nothing() -> None:
    """The neutral warp gives the envelope back."""
    envelope = np.random.default_rng(1).uniform(0.1, 1, (4, 513))
    np.testing.assert_allclose(warp_envelope(envelope, 1.0), envelope)


def test_drawn_talkers_stay_within_the_limits() -> None:
    """Each number of 200 drawn talkers lies in its range."""
    rng = np.random.default_rng(2)
    for _ in range(200):
        drawn = draw_morph(rng)
        numbers = (drawn.warp, drawn.pitch, drawn.tempo, drawn.breath)
        for number, (low, high) in zip(
            numbers, (WARP, PITCH, TEMPO, BREATH), strict=True
        ):
            assert low - 0.001 <= number <= high + 0.001


def test_clips_keep_their_words_and_name_their_source() -> None:
    """Every source clip is said once, by a talker named after its voice."""
    sound: Frames = np.full(4_000, 0.1, dtype=np.float32)
    sources = [
        Clip(text=text, label=text, voice=f"style/a/s{i}", frames=sound)
        for i in range(2)
        for text in ("yes", "no", "good", "leak", "one", "two")
    ]
    with patch.object(morphed, "morph", lambda frames, _by: frames):
        made = list(morphed_clips(sources))
        again = list(morphed_clips(sources))
    assert [clip.text for clip in made] == [clip.text for clip in sources]
    assert [clip.voice for clip in made] == [clip.voice for clip in again]
    for clip, source in zip(made, sources, strict=True):
        assert clip.speaker.startswith("morphed/" + source.voice.replace("/", "-"))
    assert len({clip.speaker for clip in made}) > 2


def test_what_all_new_talkers_say_is_not_dealt_out() -> None:
    """A single digit is said by each of them, a string by one."""
    sound: Frames = np.full(4_000, 0.1, dtype=np.float32)
    sources = [
        Clip(text=text, label="", voice="style/a/s", frames=sound)
        for text in ("one", "two", "one two", "two one")
    ]
    with patch.object(morphed, "morph", lambda frames, _by: frames):
        made = list(
            morphed_clips(sources, talkers=3, by_all=lambda clip: " " not in clip.text)
        )
    voices = {clip.voice for clip in made}
    assert len(voices) == 3
    for text in ("one", "two"):
        assert {clip.voice for clip in made if clip.text == text} == voices
    assert sum(" " in clip.text for clip in made) == 2


def test_morphed_talkers_tune_and_never_judge() -> None:
    """Relatives of tuning voices are tuning voices."""
    assert Family.MORPHED in TUNING
    assert Family.MORPHED not in JUDGING


def test_without_the_vocoder_the_error_says_what_to_install() -> None:
    """A missing package is named."""
    neutral = Morph(warp=1, pitch=1, tempo=1, breath=0)
    with (
        patch("importlib.util.find_spec", return_value=None),
        pytest.raises(SynthesisError, match="pip install pyworld"),
    ):
        morphed.morph(np.zeros(4_000, dtype=np.float32), neutral)


def test_pitch_and_tempo_change_on_their_own() -> None:
    """A 120 Hz buzz becomes a 180 Hz one of 0.8 times the length (WORLD)."""
    pytest.importorskip("pyworld")
    times_s = np.arange(RATE_HZ) / RATE_HZ
    tones = [np.sin(2 * np.pi * 120 * k * times_s) / k for k in range(1, 30)]
    buzz = (0.2 * np.sum(tones, axis=0)).astype(np.float32)
    made = morphed.morph(buzz, Morph(warp=1, pitch=1.5, tempo=1.25, breath=0))
    assert made.size == pytest.approx(0.8 * buzz.size, rel=0.05)
    middle = made[4_000:8_096] * np.hanning(4_096)
    power = np.abs(np.fft.rfft(middle))
    lowest_hz = np.argmax(power[:60]) * RATE_HZ / 4_096
    assert lowest_hz == pytest.approx(180, abs=5)
