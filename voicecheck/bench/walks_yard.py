"""What a simulated walk has instead of a yard: prompts without sound, a voice.

Prompts last as long as spoken ones and are silent: an operator with a headset
hears them, the microphone does not.
"""

from __future__ import annotations

import numpy as np
import soxr

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.mixing import active_level_db
from voicecheck.audio.ports import Sound
from voicecheck.audio.simulated import SimulatedLink
from voicecheck.bench.room import reverberate, room_response
from voicecheck.bench.walks_voices import WalkVoice

__all__ = ["SPEECH_DBFS", "SilentPrompts", "YardVoice"]

_SECONDS_A_LETTER = 0.07
"""Of the prompts as they ship: 0.063 to 0.074 in five prompts of 24 to 65 letters."""
_PROMPT_RATE_HZ = 1000
SPEECH_DBFS = (-36.0, -20.0)
"""Active level of a voice at the microphone; one is drawn for each walk."""
_TEMPO = (0.92, 1.09)
"""As in the trials of the hearing benchmark."""


class SilentPrompts:
    """A synthesiser that takes its time and says nothing."""

    def speak(self, text: str, language: str) -> Sound:
        """Return silence as long as the text."""
        samples = max(1, round(len(text) * _SECONDS_A_LETTER * _PROMPT_RATE_HZ))
        return Sound(np.zeros(samples, np.float32), _PROMPT_RATE_HZ)


class YardVoice:
    """Say answers into a simulated link, each a little different.

    Tempo and pitch change by up to 9 %, and every second utterance is in a
    room. The level is set after that, so that the ratio to the noise holds.

    Args:
        link: the yard.
        voice: who speaks.
        rng: of the changes.
        level_dbfs: active level of each utterance.
    """

    def __init__(
        self,
        link: SimulatedLink,
        voice: WalkVoice,
        rng: np.random.Generator,
        level_dbfs: float,
    ) -> None:
        self._link = link
        self._voice = voice
        self._rng = rng
        self._level_dbfs = level_dbfs

    def __call__(self, phrase: str, after_s: float, attempt: int) -> None:
        """Say a phrase; a repeated one no louder and no slower."""
        clip = self._voice.say(phrase)
        word: Frames = soxr.resample(
            clip, RATE_HZ, RATE_HZ / self._rng.uniform(*_TEMPO)
        )
        if self._rng.uniform() < 0.5:
            word = reverberate(word, room_response(self._rng))
        gain_db = self._level_dbfs - active_level_db(word)
        self._link.say(word * np.float32(10 ** (gain_db / 20)), after_s)
