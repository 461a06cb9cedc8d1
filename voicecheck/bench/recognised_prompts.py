"""How often our own recogniser understands the prompts' voice in noise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.level import rms_level_dbfs
from voicecheck.audio.mixing import active_level_db, guard_peak
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.bench.prompt_trials import EAR_DBA, Way, noise_octaves_played, render
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.ports import Phrase, Recogniser
from voicecheck.speech.pyttsx3_synthesiser import PROMPT_VOICES, Pyttsx3Synthesiser

__all__ = ["QUESTION", "Recognised", "answers", "recognised"]

QUESTION = "fault"
"""A read-back names one of these; they are many and unlike enough."""

LEAD_S = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Recognised:
    """What the recogniser made of the phrases spoken one way."""

    right: tuple[bool, ...]
    """For each trial, whether the likeliest meaning was the right one."""
    probability: tuple[float, ...]
    """For each trial, the probability that it gave to the right meaning."""


def answers(question: str = QUESTION) -> tuple[Phrase, ...]:
    """Return the phrases of a question, controls left out."""
    return tuple(p for p in active_set(question, "en").phrases if not p.control)


def recognised(
    way: Way,
    synthesiser: Pyttsx3Synthesiser,
    recogniser: Recogniser,
    kind: NoiseKind,
    snr_db: float,
    repeats: int,
    *,
    question: str = QUESTION,
    phrases: tuple[Phrase, ...] | None = None,
    seed: int = 3,
) -> Recognised:
    """Let phrases be heard in noise.

    Args:
        way: how they are spoken.
        synthesiser: the engine that speaks.
        recogniser: hears them.
        kind: noise.
        snr_db: active level of the usual voice less the noise, unweighted.
        repeats: noises that each phrase is heard in.
        question: whose phrases may be said.
        phrases: those that are spoken; None: all of the question.
        seed: of the noise; the same for every way.
    """
    active = active_set(question, "en")
    usual = Way(name="usual", voice=PROMPT_VOICES["en"])
    right: list[bool] = []
    probability: list[float] = []
    for number, phrase in enumerate(phrases or answers(question)):
        reference, _ = render(usual, phrase.text, synthesiser, None)
        for repeat in range(repeats):
            rng = np.random.default_rng((seed, number, repeat))
            sound = noise(kind, 6 * RATE_HZ, rng)
            gain_db = active_level_db(reference) - snr_db - rms_level_dbfs(sound)
            masker = np.asarray(sound * np.float32(10 ** (gain_db / 20)))
            at_ear = noise_octaves_played(masker).shifted(EAR_DBA)
            _, shaped = render(way, phrase.text, synthesiser, at_ear)
            heard = recogniser.recognise(_in_noise(shaped, masker), active)
            right.append(bool(heard) and heard[0].meaning == phrase.meaning)
            probability.append(
                sum(h.confidence for h in heard if h.meaning == phrase.meaning)
            )
    return Recognised(right=tuple(right), probability=tuple(probability))


def _in_noise(speech: Frames, masker: Frames) -> Frames:
    """Lay speech into noise with a little noise before and after."""
    lead = round(LEAD_S * RATE_HZ)
    total = masker[: speech.size + 2 * lead].copy()
    total[lead : lead + speech.size] += speech
    # a usual microphone level: the recogniser expects no peaks of full scale
    return guard_peak(np.asarray(total * np.float32(0.1), dtype=np.float32))
