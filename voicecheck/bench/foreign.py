"""Sounds that are no answer: which kinds there are, and where they come from."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from enum import StrEnum

import numpy as np

from voicecheck.bench.corpus import Clip
from voicecheck.bench.nonspeech import bang, breath, cough
from voicecheck.bench.phrases import ELEVEN, NEAR_WORDS, OTHER
from voicecheck.bench.voices.ports import to_clip
from voicecheck.checklists.loader import load
from voicecheck.errors import SynthesisError
from voicecheck.speech.ports import Synthesiser
from voicecheck.speech.prompt_sample import choose_evenly

__all__ = ["FOREIGN", "Kind", "kind_of", "nonspeech_clips", "own_prompts"]

_LOG = logging.getLogger(__name__)


class Kind(StrEnum):
    """What a trial holds."""

    COMMAND = "command"
    """One of the phrases that may be said."""
    CHATTER = "chatter"
    """Words and sentences that are not for the machine."""
    NEAR = "near words"
    """Words that sound like phrases: wood, deflect, weak, miner."""
    NONSPEECH = "coughs, breaths, bangs"
    PROMPT = "own prompts"
    """The machine's own voice coming back."""
    ELSEWHERE = "phrases of other questions"


FOREIGN = tuple(kind for kind in Kind if kind is not Kind.COMMAND)
"""All that must not be taken as an answer."""

_NEAR = frozenset(NEAR_WORDS)
_PROMPT_VOICE, _NONSPEECH_VOICE = "prompt", "nonspeech"


def kind_of(clip: Clip) -> Kind:
    """Return what a clip is to a question that takes the eleven phrases."""
    source = clip.voice.split("/")[0]
    if source == _PROMPT_VOICE:
        return Kind.PROMPT
    if source == _NONSPEECH_VOICE:
        return Kind.NONSPEECH
    if clip.label in ELEVEN:
        return Kind.COMMAND
    if clip.label != OTHER:
        return Kind.ELSEWHERE
    return Kind.NEAR if clip.text in _NEAR else Kind.CHATTER


def nonspeech_clips(count: int, seed: int) -> list[Clip]:
    """Make `count` coughs, breaths and bangs in turn."""
    makers = (cough, breath, bang)
    made = []
    for index in range(count):
        make = makers[index % len(makers)]
        rng = np.random.default_rng((seed, index))
        made.append(
            Clip(
                text=make.__name__,
                label=OTHER,
                voice=f"{_NONSPEECH_VOICE}/{make.__name__}/{index}",
                frames=make(rng),
            )
        )
    return made


def own_prompts(synthesiser: Synthesiser, count: int) -> list[Clip]:
    """Let the voice of the prompts speak questions of the checklist that ships.

    A prompt that cannot be spoken here is left out and logged.
    """
    clips = []
    for text in _prompt_texts(count):
        try:
            sound = synthesiser.speak(text, "en")
        except SynthesisError as error:
            _LOG.warning("left out, the prompt cannot be spoken: %s", error)
            continue
        clips.append(
            Clip(
                text=text,
                label=OTHER,
                voice=f"{_PROMPT_VOICE}/usual/en",
                frames=to_clip(sound.frames, sound.rate_hz),
            )
        )
    return clips


def _prompt_texts(count: int) -> Sequence[str]:
    """Read-backs that hold a phrase of ours are the nastiest: they come too."""
    points = [point.prompt for point in load("wheel-loader").checkpoints]
    asked = choose_evenly(points, max(1, count - count // 3))
    read_back = choose_evenly(
        [f"{p.rstrip('?.! ')}: good." for p in points], count // 3
    )
    return (*asked, *read_back)
