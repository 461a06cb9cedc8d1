"""Speech by pyttsx3 with the espeak-ng that comes in a wheel."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from voicecheck.errors import SynthesisError
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser, Voice


def test_a_text_becomes_sound_at_one_level() -> None:
    """Short and long prompts are about equally loud, and none is clipped."""
    with Pyttsx3Synthesiser() as synthesiser:
        sounds = [
            synthesiser.speak(text, "en")
            for text in ("Good.", "Right front wheel nuts, all there and tight?")
        ]

    levels = []
    for sound in sounds:
        active = sound.frames[np.abs(sound.frames) > 0.02]
        levels.append(20 * np.log10(np.sqrt(np.mean(np.square(active)))))
        assert np.max(np.abs(sound.frames)) <= 0.9
    assert abs(levels[0] - levels[1]) < 3
    assert sounds[0].seconds < sounds[1].seconds


def test_korean_is_spoken() -> None:
    """The bundled library has a Korean voice."""
    with Pyttsx3Synthesiser() as synthesiser:
        assert synthesiser.speak("운전실이 비어 있습니까?", "ko").seconds > 0.8


def test_what_was_spoken_once_is_kept(tmp_path: Path) -> None:
    """A second program with the same cache does not start the engine."""
    with Pyttsx3Synthesiser(tmp_path) as first:
        spoken = first.speak("Tyre tread?", "en")
    deaf = Pyttsx3Synthesiser(tmp_path, timeout_s=0.0)

    again = deaf.speak("Tyre tread?", "en")

    assert len(list(tmp_path.glob("*.wav"))) == 1
    np.testing.assert_allclose(again.frames, spoken.frames, atol=1e-4)


def test_a_damaged_cache_file_is_rendered_again(tmp_path: Path) -> None:
    """A broken file costs a moment, never a prompt."""
    with Pyttsx3Synthesiser(tmp_path) as synthesiser:
        synthesiser.speak("Good.", "en")
    (damaged,) = tmp_path.glob("*.wav")
    damaged.write_bytes(b"RIFF....")

    with Pyttsx3Synthesiser(tmp_path) as synthesiser:
        assert synthesiser.speak("Good.", "en").seconds > 0.1


@pytest.mark.parametrize("text", ["", "   \n"])
def test_an_empty_text_is_an_error(text: str) -> None:
    """The library would return a message instead."""
    with Pyttsx3Synthesiser() as synthesiser, pytest.raises(SynthesisError):
        synthesiser.speak(text, "en")


def test_an_unknown_language_or_voice_is_an_error() -> None:
    """Both are named."""
    with Pyttsx3Synthesiser() as synthesiser:
        with pytest.raises(SynthesisError, match="xx"):
            synthesiser.speak("Good.", "xx")
        with pytest.raises(SynthesisError, match="zz-such"):
            synthesiser.speak_as("Good.", Voice(name="zz-such"))


def test_an_engine_that_hangs_is_given_up() -> None:
    """Twice without an answer is an error, not a program that waits for ever."""
    synthesiser = Pyttsx3Synthesiser(timeout_s=0.0)

    with pytest.raises(SynthesisError, match="did not answer"):
        synthesiser.speak("Good.", "en")
    synthesiser.close()
