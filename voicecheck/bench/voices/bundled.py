"""The voices that come with the program: those of the prompts, varied.

eSpeak NG on Linux, spoken by pyttsx3. Four talkers at four settings each: three
settings can enrol a voice, the fourth is judged.
"""

from __future__ import annotations

from voicecheck.audio.frames import Frames
from voicecheck.bench.voices.ports import Family, Voice, to_clip
from voicecheck.errors import SynthesisError
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser
from voicecheck.speech.pyttsx3_synthesiser import Voice as PromptVoice

__all__ = ["Bundled"]

_TALKERS = ("en-us", "en-gb+f2", "en-us+m3")
_SETTINGS = ((150, 50), (175, 42), (130, 58), (190, 50))
"""Words a minute, pitch."""


class Bundled:
    """Speak with the engine of the prompts.

    Args:
        synthesiser: the engine; None: one without a cache on disk.
    """

    def __init__(self, synthesiser: Pyttsx3Synthesiser | None = None) -> None:
        self._synthesiser = synthesiser or Pyttsx3Synthesiser()

    def voices(self) -> tuple[Voice, ...]:
        """List talkers times settings."""
        return tuple(
            Voice(
                family=Family.ESPEAK,
                name=f"bundled-{talker}",
                setting=f"r{rate}p{pitch}",
                licence="GPL-3.0 program, rule voice",
            )
            for talker in _TALKERS
            for rate, pitch in _SETTINGS
        )

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Say the text; None where the engine fails."""
        rate, pitch = voice.setting[1:].split("p")
        spoken = PromptVoice(
            name=voice.name.removeprefix("bundled-"),
            words_a_minute=int(rate),
            pitch=int(pitch),
        )
        try:
            sound = self._synthesiser.speak_as(text, spoken)
        except SynthesisError:
            return None
        clip = to_clip(sound.frames, sound.rate_hz)
        return clip if clip.size else None
