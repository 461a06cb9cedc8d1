"""Trials for the maps of enrolled voices: who says what, in which noise.

A speaker with two settings or more (rate, pitch) can be enrolled: all but the
last setting give the examples, the last one is tried. Others are strangers.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import soxr
from numpy.typing import NDArray

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.bench.corpus import Clip
from voicecheck.bench.phrases import OTHER
from voicecheck.bench.trials import (
    CONDITIONS,
    LEAD_S,
    TAIL_S,
    Condition,
    make_trial,
)
from voicecheck.speech.enrolment.profile import Example
from voicecheck.speech.enrolment.words import WordList, words_to_say
from voicecheck.speech.fusion import Witnesses
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser
from voicecheck.speech.ports import ActiveSet
from voicecheck.speech.witness import witnesses

__all__ = ["HeardTrial", "Speaker", "hear_trials", "speakers_of", "utterance_of"]

QUESTIONS = ("condition", "yes_no", "severity", "leak_class", "level")
_EXAMPLES = 3
_RATES = (1.0, 0.97, 1.03)
"""Where a speaker has too few settings, an example is one at another rate."""
_BEFORE_S, _AFTER_S = 0.3, 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Speaker:
    """One voice of the corpus."""

    name: str
    examples: tuple[Example, ...]
    """Empty: cannot be enrolled."""
    tried: tuple[Clip, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeardTrial:
    """One sound, and what both witnesses make of it without a profile."""

    speaker: str
    said: str
    """The phrase, or OTHER where nothing that may be said was said."""
    snr_db: float
    active: ActiveSet
    sound: Frames
    evidence: Witnesses
    vector: NDArray[np.float32]


def speakers_of(clips: Iterable[Clip]) -> list[Speaker]:
    """Part the clips of each speaker into examples and clips to be tried."""
    words = words_to_say("en", WordList.SHORT)
    by_speaker: dict[str, dict[str, list[Clip]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for clip in clips:
        by_speaker[clip.speaker][clip.voice].append(clip)
    found = []
    for name, by_voice in sorted(by_speaker.items()):
        voices = list(by_voice)
        enrol, tried = voices[: min(_EXAMPLES, len(voices) - 1)], voices[_EXAMPLES:]
        spoken = [c for v in enrol for c in by_voice[v]]
        found.append(
            Speaker(
                name=name,
                examples=tuple(_examples(spoken, words)),
                tried=tuple(c for v in tried or voices[-1:] for c in by_voice[v]),
            )
        )
    return found


def _examples(clips: Sequence[Clip], words: Sequence[str]) -> Iterable[Example]:
    for word in words:
        own = [c for c in clips if c.label == word]
        for number in range(_EXAMPLES if own else 0):
            rate = _RATES[number] if number >= len(own) else 1.0
            frames = own[number % len(own)].frames
            if rate != 1.0:
                frames = soxr.resample(frames, RATE_HZ, RATE_HZ / rate)
            yield Example(phrase=word, frames=np.asarray(frames, dtype=np.float32))


def hear_trials(
    network: WordNetwork,
    speakers: Sequence[Speaker],
    *,
    count: int,
    seed: int,
    lowest_snr_db: float = -5.0,
) -> list[HeardTrial]:
    """Let both witnesses hear `count` trials, spread evenly over the speakers."""
    rng = np.random.default_rng(seed)
    sphinx = PocketSphinxRecogniser()
    conditions = [c for c in CONDITIONS if c.snr_db >= lowest_snr_db]
    sets = [active_set(name, "en") for name in QUESTIONS]
    others = [c.frames for s in speakers for c in s.tried if c.label == OTHER]
    talkers = tuple(others[:: max(1, len(others) // 150)])
    heard = []
    for number in range(count):
        speaker = speakers[number % len(speakers)]
        clip, active = _draw(speaker, sets, rng)
        condition = conditions[int(rng.integers(len(conditions)))]
        sound = utterance_of(clip, condition, rng, talkers)
        decodes = sphinx.decodes(sound, active)
        impression = network.impression(sound)
        texts = frozenset(p.text for p in active.phrases)
        heard.append(
            HeardTrial(
                speaker=speaker.name,
                said=clip.label if clip.label in texts else OTHER,
                snr_db=condition.snr_db,
                active=active,
                sound=sound,
                evidence=witnesses(network, impression, decodes, sound, active),
                vector=impression.pooled,
            )
        )
    return heard


def _draw(
    speaker: Speaker, sets: Sequence[ActiveSet], rng: np.random.Generator
) -> tuple[Clip, ActiveSet]:
    """Draw a question and what is said: an answer of its own four times in five."""
    active = sets[int(rng.integers(len(sets)))]
    own = {p.text for p in active.phrases if not p.control}
    if rng.uniform() < 0.25:
        own = {p.text for p in active.phrases if p.control}
    fits = [c for c in speaker.tried if c.label in own]
    if not fits or rng.uniform() < 0.2:
        texts = {p.text for p in active.phrases}
        fits = [c for c in speaker.tried if c.label not in texts] or fits
    return fits[int(rng.integers(len(fits)))], active


def utterance_of(
    clip: Clip,
    condition: Condition,
    rng: np.random.Generator,
    talkers: tuple[Frames, ...],
) -> Frames:
    """Return a trial, with as much around the word as the end-pointing leaves."""
    sound = make_trial(clip, condition, rng, talkers=talkers)
    before = round((LEAD_S - _BEFORE_S) * RATE_HZ)
    after = round((TAIL_S - _AFTER_S) * RATE_HZ)
    return sound[before : sound.size - after]
