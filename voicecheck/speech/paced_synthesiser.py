"""Speak slower while it is too loud."""

from __future__ import annotations

from dataclasses import replace

from voicecheck.audio.ports import Sound
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser, Voice

__all__ = ["SLOWER", "PacedSynthesiser"]

SLOWER = 0.85
"""Rate of the prompts in noise, of the usual one (our choice)."""


class PacedSynthesiser:
    """A synthesiser with two rates.

    Args:
        synthesiser: speaks.
        voices: the usual voice of each language.
    """

    def __init__(
        self, synthesiser: Pyttsx3Synthesiser, voices: dict[str, Voice]
    ) -> None:
        self._synthesiser = synthesiser
        self._voices = voices
        self.slow = False

    def speak(self, text: str, language: str) -> Sound:
        """Return the spoken text at the rate of the moment.

        Raises:
            SynthesisError: the text is empty or the engine fails.
        """
        voice = self._voices.get(language)
        if not self.slow or voice is None:
            return self._synthesiser.speak(text, language)
        slower = replace(voice, words_a_minute=round(voice.words_a_minute * SLOWER))
        return self._synthesiser.speak_as(text, slower)
