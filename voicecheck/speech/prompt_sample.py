"""Some of the prompts that are really spoken, and their spectrum.

Intelligibility is computed for the voice that the operator hears, not for the
standard's.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.ports import Sound
from voicecheck.hearing.measure import Calibration, prompt_octaves
from voicecheck.hearing.spectrum import OctaveLevels
from voicecheck.speech.ports import Synthesiser

__all__ = ["PromptSample", "choose_evenly", "measure_prompts", "speak_sample"]

SAMPLE_SIZE = 10
"""Prompts that are spoken: their mean spectrum no longer moves with more (our
choice)."""

_FULL_SCALE = Calibration(0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PromptSample:
    """Spoken prompts and how loud they are, in dB re full scale."""

    sounds: tuple[Sound, ...]
    octave: OctaveLevels
    """Mean of the power while speaking, per octave."""
    spread_db: float
    """How far the loudest prompt lies over that mean, A-weighted."""

    def at(self, level_dba: float) -> OctaveLevels:
        """Return the spectrum at another A-weighted level."""
        return self.octave.scaled_to_dba(level_dba)


def choose_evenly(texts: Sequence[str], count: int = SAMPLE_SIZE) -> tuple[str, ...]:
    """Return up to `count` texts spread over all of them, none twice."""
    distinct = tuple(dict.fromkeys(texts))
    if len(distinct) <= count:
        return distinct
    places = np.linspace(0, len(distinct) - 1, count).round().astype(int)
    return tuple(distinct[place] for place in places)


def speak_sample(
    synthesiser: Synthesiser, texts: Sequence[str], language: str
) -> PromptSample:
    """Speak texts and measure them.

    Raises:
        SynthesisError: a text cannot be spoken.
        LevelError: there is no text.
    """
    return measure_prompts([synthesiser.speak(text, language) for text in texts])


def measure_prompts(sounds: Sequence[Sound]) -> PromptSample:
    """Measure spoken prompts.

    Raises:
        LevelError: there is no prompt, or one is silent.
    """
    levels = [prompt_octaves(s.frames, s.rate_hz, _FULL_SCALE) for s in sounds]
    power = [[10 ** (db / 10) for db in one.level_db] for one in levels]
    mean = [sum(band) / len(band) for band in zip(*power, strict=True)]
    octave = OctaveLevels.of([10 * math.log10(p) if p else -math.inf for p in mean])
    loudest = max((one.a_level_dba for one in levels), default=0.0)
    return PromptSample(
        sounds=tuple(sounds), octave=octave, spread_db=loudest - octave.a_level_dba
    )
