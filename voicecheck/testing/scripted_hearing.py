"""A tiny corpus of whistles and engines that follow a script."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.activity import Speech
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.bench.contestants import Contestant, EngineName, best_two, eleven
from voicecheck.bench.corpus import Clip
from voicecheck.bench.phrases import ELEVEN, label_of
from voicecheck.bench.remembered_activity import RememberedActivity
from voicecheck.bench.trial_plan import Planned
from voicecheck.bench.verdicts import Verdict
from voicecheck.speech.ports import ActiveSet, Hypothesis


def whistle(text: str, voice: str = "piper/w/a") -> Clip:
    """A tone standing for a word."""
    time_s = np.arange(6_000) / RATE_HZ
    tone = (0.5 * np.sin(2 * np.pi * 600 * time_s)).astype(np.float32)
    return Clip(text=text, label=label_of(text), voice=voice, frames=tone)


def tiny_corpus(settings: int = 4) -> list[Clip]:
    """One speaker of the judging side at some settings, and some other words."""
    texts = (*ELEVEN, "wood", "what time is lunch", "coolant")
    return [
        whistle(text, f"piper/w/{setting}")
        for setting in range(settings)
        for text in texts
    ]


@dataclass
class Knowing:
    """Hears what was said, as surely as told; other sounds as "good"."""

    name: EngineName
    confidence: float

    def hear(self, trial: Planned, sound: Frames) -> Verdict:
        """Look it up."""
        assert sound.dtype == np.float32
        text = trial.clip.label if trial.clip.label in ELEVEN else "good"
        found = best_two({text: self.confidence}, eleven())
        return Verdict(hypotheses=found, utterances=1, features={"margin": 1.0})


def scripted(
    names: Sequence[EngineName], examples: object, activity: RememberedActivity
) -> list[Contestant]:
    """The first engine is sure of everything, the others of nothing."""
    return [Knowing(name, 0.1 if i else 0.999) for i, name in enumerate(names)]


class Loud:
    """Takes every loud block for speech."""

    def __init__(self) -> None:
        """Nothing heard yet."""
        self.asked = 0

    def probability(self, block: Frames) -> Speech:
        """By the level."""
        self.asked += 1
        return Speech(float(np.sqrt(np.mean(np.square(block))) > 0.05))

    def reset(self) -> None:
        """Nothing to forget."""


class Deaf:
    """A recogniser that hears one phrase in everything."""

    name = "deaf"
    language = "en"

    def __init__(self, text: str = "good") -> None:
        """Say what it always hears."""
        self.text = text
        self.heard = 0

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Always the same."""
        self.heard += 1
        phrase = active.phrase(self.text)
        if phrase is None:
            return ()
        return (Hypothesis(phrase=phrase.text, meaning=phrase.meaning, confidence=0.9),)
