"""The spectrum of the prompts that are really spoken."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.ports import Sound
from voicecheck.errors import VoicecheckError
from voicecheck.hearing.sii import standard_speech
from voicecheck.hearing.sii_tables import VocalEffort
from voicecheck.speech.prompt_sample import (
    choose_evenly,
    measure_prompts,
    speak_sample,
)
from voicecheck.speech.prompt_voices import USUAL_RATE, prompt_voices
from voicecheck.speech.pyttsx3_synthesiser import PROMPT_VOICES, Pyttsx3Synthesiser

TEXTS = ("Left front wheel nuts?", "Engine oil level?", "Is the cab empty?")


def tone(hz: float, level: float) -> Sound:
    """Half a second of one frequency."""
    time_s = np.arange(11_025) / 22_050
    frames = level * np.sin(2 * np.pi * hz * time_s)
    return Sound(frames=frames.astype(np.float32), rate_hz=22_050)


def test_texts_are_spread_over_the_whole_walk() -> None:
    """First and last are in, none twice, and few are all taken."""
    texts = [f"point {number}" for number in range(90)]
    chosen = choose_evenly(texts)
    assert len(chosen) == len(set(chosen)) == 10
    assert chosen[0] == "point 0"
    assert chosen[-1] == "point 89"
    assert choose_evenly(["a", "b", "a"]) == ("a", "b")


def test_powers_are_averaged_not_decibels() -> None:
    """Two tones of one octave, 6 dB apart: the mean power lies 2 dB below the
    louder."""
    found = measure_prompts([tone(1000, 0.2), tone(1000, 0.1)])
    louder = measure_prompts([tone(1000, 0.2)])
    fall = louder.octave.level_db[4] - found.octave.level_db[4]
    assert fall == pytest.approx(10 * np.log10(2 / 1.25), abs=0.01)
    assert found.spread_db == pytest.approx(fall, abs=0.05)
    assert louder.spread_db == pytest.approx(0.0, abs=1e-9)


def test_without_prompts_there_is_no_spectrum() -> None:
    """Nothing to measure, or only silence, is said."""
    with pytest.raises(VoicecheckError):
        measure_prompts([])
    with pytest.raises(VoicecheckError):
        measure_prompts([Sound(np.zeros(1000, dtype=np.float32), 16_000)])


def test_spoken_prompts_look_like_speech() -> None:
    """Most power lies below 1 kHz and it falls above, as in the standard's speech
    (ANSI S3.5-1997, Table 4); each octave from 500 Hz on within 12 dB of it."""
    with Pyttsx3Synthesiser() as synthesiser:
        sample = speak_sample(synthesiser, TEXTS, "en")

    ours = np.asarray(sample.at(60.0).speech_bands_db)
    standard = standard_speech(VocalEffort.NORMAL).scaled_to_dba(60.0)
    apart = ours - np.asarray(standard.speech_bands_db)
    assert sample.at(60.0).a_level_dba == pytest.approx(60.0)
    assert np.argmax(ours) == 1
    assert np.abs(apart[1:]).max() < 12


def test_the_rate_changes_and_nothing_else() -> None:
    """A saved sound check slows every language's voice; None leaves it."""
    assert prompt_voices(None) == PROMPT_VOICES
    slow = prompt_voices(140)
    assert {voice.words_a_minute for voice in slow.values()} == {140}
    assert [v.name for v in slow.values()] == [v.name for v in PROMPT_VOICES.values()]
    assert PROMPT_VOICES["en"].words_a_minute == USUAL_RATE
