"""Trials that go the whole way of a sound, for fitting the fusion."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.frames import Frames
from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.ports import BLOCK
from voicecheck.bench.corpus import OTHER, Clip
from voicecheck.bench.trials import CONDITIONS, Condition, make_trial
from voicecheck.speech.fusion import Witnesses
from voicecheck.speech.grammar import files
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser
from voicecheck.speech.ports import ActiveSet
from voicecheck.speech.witness import witnesses

__all__ = ["Heard", "hear", "in_noise", "utterance_in"]

_OURS = 0.75
_NOT_ASKED = ("number", "digit", "controls", "paused")
_OFTEN = 4
"""How much more often the question of the condition is asked than another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """One utterance, and what was said."""

    evidence: Witnesses
    said: str
    """The phrase, or OTHER when it was none that may be said."""
    snr_db: float


def hear(
    network: WordNetwork, clips: Sequence[Clip], *, count: int, seed: int
) -> Iterator[Heard]:
    """Let the witnesses hear random clips at random questions in random noise.

    Trials whose word the end-pointing misses are left out.

    Args:
        network: that has not heard these voices.
        clips: of the voices.
        count: trials.
        seed: of everything drawn.
    """
    rng = np.random.default_rng(seed)
    sphinx = PocketSphinxRecogniser()
    endpointer = Endpointer(SileroActivity())
    names = [n for n in files.question_names("en") if n not in _NOT_ASKED]
    asked = [active_set(n, "en") for n in [*["condition"] * _OFTEN, *names]]
    foreign = [c for c in clips if c.label == OTHER]
    ours = [c for c in clips if any(a.phrase(c.text) for a in asked)]
    for _ in range(count):
        if rng.uniform() < _OURS:
            clip = ours[int(rng.integers(len(ours)))]
            fitting = [a for a in asked if a.phrase(clip.text)]
        else:
            clip, fitting = foreign[int(rng.integers(len(foreign)))], asked
        active = fitting[int(rng.integers(len(fitting)))]
        utterance, condition = in_noise(clip, foreign, rng, endpointer)
        if utterance is not None:
            decodes = sphinx.decodes(utterance, active)
            yield Heard(
                evidence=witnesses(
                    network, network.impression(utterance), decodes, utterance, active
                ),
                said=_said(clip, active),
                snr_db=condition.snr_db,
            )


def _said(clip: Clip, active: ActiveSet) -> str:
    return clip.text if active.phrase(clip.text) is not None else OTHER


def in_noise(
    clip: Clip, others: Sequence[Clip], rng: np.random.Generator, endpointer: Endpointer
) -> tuple[Frames | None, Condition]:
    """Return what the end-pointing cuts out of a clip in random noise, and the noise.

    Args:
        clip: what is said.
        others: who babbles, where the noise is babble.
        rng: of what is drawn.
        endpointer: cuts it out.
    """
    condition = CONDITIONS[int(rng.integers(len(CONDITIONS)))]
    talkers: tuple[Frames, ...] = ()
    if condition.kind is NoiseKind.BABBLE:
        rows = rng.choice(len(others), size=6, replace=False)
        talkers = tuple(others[int(i)].frames for i in rows)
    sound = make_trial(clip, condition, rng, talkers=talkers)
    return utterance_in(endpointer, sound), condition


def utterance_in(endpointer: Endpointer, sound: Frames) -> Frames | None:
    """Return the longest utterance of a trial, None where there is none."""
    endpointer.reset()
    found: list[Frames] = []
    silence = np.zeros(40 * BLOCK, np.float32)
    stream = np.concatenate([sound, silence])
    for begin in range(0, stream.size - BLOCK + 1, BLOCK):
        utterance = endpointer.accept(stream[begin : begin + BLOCK])
        if utterance is not None:
            found.append(utterance.frames)
    return max(found, key=len, default=None)
