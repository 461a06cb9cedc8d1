"""The voices of the prompts, at the rate that a sound check saved."""

from __future__ import annotations

from dataclasses import replace

from voicecheck.speech.pyttsx3_synthesiser import PROMPT_VOICES, Voice

__all__ = ["USUAL_RATE", "prompt_voices"]

USUAL_RATE = PROMPT_VOICES["en"].words_a_minute
"""Words a minute where no sound check says otherwise."""


def prompt_voices(words_a_minute: int | None) -> dict[str, Voice]:
    """Return the voice of each language; None leaves the usual rate."""
    if words_a_minute is None:
        return dict(PROMPT_VOICES)
    return {
        language: replace(voice, words_a_minute=words_a_minute)
        for language, voice in PROMPT_VOICES.items()
    }
