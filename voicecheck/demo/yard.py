"""The simulated yard: noise at a stated ratio, and the operator's voice in it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.mixing import active_level_db
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.audio.resample import resample
from voicecheck.audio.simulated import SimulatedLink
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser, Voice

SPEECH_DBFS = -26.0
"""Active level of the operator's voice at the microphone."""
_FAINT_DBFS = -75.0
"""Noise of a microphone in a quiet place."""
_LOOP_S = 30
_LOUDER_DB = 2.0
"""How much louder a person repeats what was not understood."""
_LOUDEST_DB = 6.0
_SLOWER = 0.85

OPERATOR_VOICES = {
    "en": (
        Voice(name="en-us", words_a_minute=150, pitch=38),
        Voice(name="en-us+f3", words_a_minute=150, pitch=55),
        Voice(name="en-us+m3", words_a_minute=150, pitch=45),
        Voice(name="en-gb-x-rp", words_a_minute=150, pitch=45),
    ),
    "ko": (
        Voice(name="ko", words_a_minute=150, pitch=40),
        Voice(name="ko+f3", words_a_minute=150, pitch=55),
        Voice(name="ko+m2", words_a_minute=150, pitch=45),
    ),
}

TALK = (
    "Did you see the truck that came in this morning?",
    "We should move the stone over to the other side.",
    "He said that the belt will be running by noon.",
    "Bring the water cart round when you have a minute.",
    "The weather looks better than it did yesterday.",
    "Somebody left the gate open again last night.",
)
"""What the talkers of the babble say."""


class Background:
    """Noise without end: a seeded piece, begun anew at random places."""

    def __init__(self, piece: Frames, rng: np.random.Generator) -> None:
        self._piece = piece
        self._at = int(rng.integers(len(piece)))

    def __call__(self, samples: int) -> Frames:
        """Return the next samples, shape (samples,)."""
        places = (self._at + np.arange(samples)) % len(self._piece)
        self._at = (self._at + samples) % len(self._piece)
        return self._piece[places]


def background(
    kind: NoiseKind,
    snr_db: float | None,
    rng: np.random.Generator,
    talkers: tuple[Frames, ...] = (),
) -> Background:
    """Return the noise of the yard.

    Args:
        kind: what makes the noise.
        snr_db: active speech level over noise level; None: a quiet place.
        rng: seeds the noise.
        talkers: what is said in the babble, for that kind.
    """
    level_dbfs = _FAINT_DBFS if snr_db is None else SPEECH_DBFS - snr_db
    kind = NoiseKind.QUIET if snr_db is None else kind
    piece = noise(kind, _LOOP_S * RATE_HZ, rng, talkers=talkers)
    scaled = piece * np.float32(10 ** (level_dbfs / 20))
    return Background(np.asarray(scaled, dtype=np.float32), rng)


class OperatorVoice:
    """Speaks the operator's answers into a simulated link."""

    def __init__(
        self,
        link: SimulatedLink,
        synthesiser: Pyttsx3Synthesiser,
        voice: Voice,
    ) -> None:
        self._link = link
        self._synthesiser = synthesiser
        self._voice = voice

    def __call__(self, phrase: str, after_s: float, attempt: int) -> None:
        """Say a phrase; a repeated one slower and a little louder."""
        voice = self._voice
        if attempt > 1:
            slower = round(voice.words_a_minute * _SLOWER)
            voice = replace(voice, words_a_minute=slower)
        frames = spoken(self._synthesiser, phrase, voice)
        louder_db = min(_LOUDEST_DB, _LOUDER_DB * (attempt - 1))
        self._link.say(frames * np.float32(10 ** (louder_db / 20)), after_s)


def spoken(synthesiser: Pyttsx3Synthesiser, text: str, voice: Voice) -> Frames:
    """Return a text as it reaches the microphone: 16 kHz, at SPEECH_DBFS."""
    sound = synthesiser.speak_as(text, voice)
    frames = resample(sound.frames, sound.rate_hz, RATE_HZ)
    gain_db = SPEECH_DBFS - active_level_db(frames)
    return np.asarray(frames * 10 ** (gain_db / 20), dtype=np.float32)
