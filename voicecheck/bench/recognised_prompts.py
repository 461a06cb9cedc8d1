"""How often our own recogniser understands the prompts' voice in noise."""

from __future__ import annotations

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.mixing import active_level_db, guard_peak, rms_level_db
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.bench.prompt_trials import EAR_DBA, Way, noise_octaves_played, render
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser
from voicecheck.speech.pyttsx3_synthesiser import PROMPT_VOICES, Pyttsx3Synthesiser

__all__ = ["recognised"]

QUESTION = "fault"
"""A read-back names one of these; they are many and unlike enough."""

LEAD_S = 0.3


def recognised(
    way: Way,
    synthesiser: Pyttsx3Synthesiser,
    kind: NoiseKind,
    snr_db: float,
    repeats: int,
    *,
    question: str = QUESTION,
    seed: int = 3,
) -> float:
    """Return the share of phrases heard right, 0 … 1.

    Args:
        way: how they are spoken.
        synthesiser: the engine.
        kind: noise.
        snr_db: active level of the usual voice less the noise, unweighted.
        repeats: noises that each phrase is heard in.
        question: whose phrases are spoken.
        seed: of the noise; the same for every way.
    """
    active = active_set(question, "en")
    recogniser = PocketSphinxRecogniser()
    usual = Way(name="usual", voice=PROMPT_VOICES["en"])
    right = trials = 0
    for number, phrase in enumerate(p for p in active.phrases if not p.control):
        reference, _ = render(usual, phrase.text, synthesiser, None)
        for repeat in range(repeats):
            rng = np.random.default_rng((seed, number, repeat))
            sound = noise(kind, 6 * RATE_HZ, rng)
            gain_db = active_level_db(reference) - snr_db - rms_level_db(sound)
            masker = np.asarray(sound * np.float32(10 ** (gain_db / 20)))
            at_ear = noise_octaves_played(masker).shifted(EAR_DBA)
            _, shaped = render(way, phrase.text, synthesiser, at_ear)
            heard = recogniser.recognise(_in_noise(shaped, masker), active)
            right += bool(heard) and heard[0].meaning == phrase.meaning
            trials += 1
    return right / trials


def _in_noise(speech: Frames, masker: Frames) -> Frames:
    """Lay speech into noise with a little noise before and after."""
    lead = round(LEAD_S * RATE_HZ)
    total = masker[: speech.size + 2 * lead].copy()
    total[lead : lead + speech.size] += speech
    # a usual microphone level: the recogniser expects no peaks of full scale
    return guard_peak(np.asarray(total * np.float32(0.1), dtype=np.float32))
