"""Trials in which names of zones and points are said, as at practice.

What may be said is what a learner may say at some moment of recall: the zones
that are left, or the points that are left of a zone with a few of its
neighbours. One trial in four is a word that steers, talk, or a place that may
not be said now. Each goes the whole way of a sound, end-pointing included.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.audio.noise import NoiseKind
from voicecheck.bench.corpus import OTHER, Clip
from voicecheck.bench.training.stranger_trials import Heard, utterance_in
from voicecheck.bench.trials import Condition, make_trial
from voicecheck.bench.voices.ports import Synthesiser, Voice
from voicecheck.learn.sessions.ports import Choice, Listening, Question
from voicecheck.learn.spoken.listening import listen_to
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.round.checklist import Checklist
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser
from voicecheck.speech.ports import ActiveSet
from voicecheck.speech.witness import witnesses

__all__ = ["JUDGED", "MIXED", "PlaceTrial", "Recall", "hear_places"]

JUDGED = (
    Condition(kind=NoiseKind.QUIET, snr_db=40.0),
    Condition(kind=NoiseKind.IDLE, snr_db=10.0),
)
"""Where practice is promised to work."""
MIXED = (
    *JUDGED,
    Condition(kind=NoiseKind.PINK, snr_db=15.0),
    Condition(kind=NoiseKind.IDLE, snr_db=5.0),
    Condition(kind=NoiseKind.WIND, snr_db=5.0),
    Condition(kind=NoiseKind.YARD, snr_db=10.0),
    Condition(kind=NoiseKind.CRUSHER, snr_db=10.0),
)
"""What the weights are fitted on."""
TALK = (
    "did you see the truck this morning", "we should move the stone over there",
    "wait a minute", "I do not know", "what was it again",
    "the weather is better today", "good", "defect", "I forgot that one", "yes",
    "the next one is hard", "let me think",
)  # fmt: skip
"""Said by somebody who is not answering."""
_ZONES, _OWN, _STEERS, _TALKS = 0.25, 0.75, 0.83, 0.9
"""Shares: of questions for a zone; up to which a trial is a name, a word that
steers, talk; the rest are places that may not be said now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceTrial:
    """One utterance, what could be said, and what was."""

    heard: Heard
    active: ActiveSet
    condition: str
    voice: str

    @property
    def meant(self) -> str | None:
        """Id of the place that was said, or the meaning of the word that steers."""
        phrase = self.active.phrase(self.heard.said)
        return phrase.meaning if phrase else None


class Recall:
    """Draws moments of recall.

    Args:
        checklists: of which machines.
        rng: source of chance.
    """

    def __init__(self, checklists: Sequence[Checklist], rng: random.Random) -> None:
        self._checklists = tuple(checklists)
        self._names = {c.name: PlaceNames(c) for c in checklists}
        self._rng = rng

    def draw(self) -> tuple[ActiveSet, str]:
        """Return what may be said at some moment, and what is said then."""
        checklist = self._rng.choice(self._checklists)
        names = self._names[checklist.name]
        places, own = self._moment(checklist)
        choices = tuple(Choice(value=place, words=place) for place in places)
        question = Question(text="", listening=Listening.PLACE, choices=choices)
        active = listen_to(question, checklist.language, names)
        return active, self._said(active, own, checklist)

    def _moment(self, checklist: Checklist) -> tuple[list[str], list[str]]:
        """Return the places that may be said, and those that are due."""
        rng, zones = self._rng, checklist.zones
        if rng.random() < _ZONES:
            left = [zone.id for zone in zones[rng.randrange(len(zones) - 3) :]]
            return left, left
        at = rng.randrange(len(zones))
        points = [point.id for point in zones[at].checkpoints]
        own = points[rng.randrange(len(points)) :] if rng.random() < 0.7 else points
        before = [p.id for p in zones[at - 1].checkpoints] if at else []
        after = zones[at + 1].checkpoints[:3] if at + 1 < len(zones) else ()
        around = rng.sample(before, min(2, len(before)))
        return [*own, *around, *(point.id for point in after)], own

    def _said(self, active: ActiveSet, own: list[str], checklist: Checklist) -> str:
        rng, kind = self._rng, self._rng.random()
        if kind < _OWN:
            return rng.choice([p.text for p in active.phrases if p.meaning in own])
        if kind < _STEERS:
            return rng.choice([p.text for p in active.phrases if p.control])
        if kind < _TALKS:
            return rng.choice(TALK)
        point = rng.choice(rng.choice(checklist.zones).checkpoints)
        named = self._names[checklist.name].phrases([point.id])
        return rng.choice(named[point.id])


def hear_places(
    recall: Recall,
    voices: Sequence[tuple[Synthesiser, Voice]],
    conditions: Sequence[Condition],
    *,
    count: int,
    seed: int,
) -> Iterator[PlaceTrial]:
    """Let the witnesses hear names; trials that the end-pointing misses are left out.

    Args:
        recall: what is said, and what may be.
        voices: drawn from.
        conditions: drawn from.
        count: trials.
        seed: of voices, noise, rate, room and level.
    """
    choice, rng = random.Random(seed), np.random.default_rng(seed)
    sphinx, network = PocketSphinxRecogniser(), WordNetwork.load()
    endpointer = Endpointer(SileroActivity())
    for _ in range(count):
        active, text = recall.draw()
        source, voice = choice.choice(voices)
        condition = choice.choice(conditions)
        frames = source.say(voice, text)
        if frames is None:
            continue
        clip = Clip(text=text, label=text, voice=voice.key, frames=frames)
        utterance = utterance_in(endpointer, make_trial(clip, condition, rng))
        if utterance is None:
            continue
        decodes = sphinx.decodes(utterance, active)
        impression = network.impression(utterance)
        evidence = witnesses(network, impression, decodes, utterance, active)
        said = text if active.phrase(text) is not None else OTHER
        yield PlaceTrial(
            heard=Heard(evidence=evidence, said=said, snr_db=condition.snr_db),
            active=active,
            condition=condition.name,
            voice=voice.key,
        )
