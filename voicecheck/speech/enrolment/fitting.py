"""From examples to a last layer of the operator's own, and marks of the voice.

Each example is heard in the enrolment noises, so that the layer works in noise
though the examples were said in quiet. All classes of the shipped network stay
in the layer and are held near their places: a word that was not said keeps
working. Words of a site that the network has no class for start from nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.mixing import guard_peak, mix_at_snr
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.speech.enrolment.network_view import background_rows, word_vector
from voicecheck.speech.enrolment.profile import Example, by_phrase
from voicecheck.speech.enrolment.voice_vector import VoiceVector, voice_vector
from voicecheck.speech.network.enrolled import (
    ENROLMENT_NOISES,
    EnrolledHead,
    fit_rows,
)
from voicecheck.speech.network.model import NOISE, OTHER, WordNetwork

__all__ = [
    "FittedVoice",
    "HeardExample",
    "VoiceMarks",
    "fit_heard",
    "fit_voice",
    "hear_example",
    "marks_of",
]

_SHELF_S = 20
_ROUNDS = 150
PULL = 0.005
"""Strength of the prior; our choice, not swept."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeardExample:
    """One example in every enrolment noise."""

    phrase: str
    words: NDArray[np.float32]
    """Pooled features, shape (noises, width)."""
    voices: tuple[VoiceVector, ...]
    """Marks of the voice, one for each noise."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VoiceMarks:
    """What tells one operator's voice from others."""

    words: Mapping[str, NDArray[np.float32]]
    """For each phrase the pooled features of its examples, (rows, width)."""
    spectra: Mapping[str, NDArray[np.float64]]
    """For each phrase the spectra of its examples, (rows, bands)."""
    pitch_hz: float | None
    """Median pitch over all examples; None where none is voiced."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedVoice(VoiceMarks):
    """What the recogniser needs to know of one operator's voice."""

    head: EnrolledHead
    phrases: frozenset[str]
    """Those with examples."""


def hear_example(network: WordNetwork, example: Example, seed: int = 0) -> HeardExample:
    """Hear one example in every enrolment noise."""
    rng = np.random.default_rng((seed, example.frames.size))
    sounds = [
        _in_noise(example.frames, kind, snr_db, rng)
        for kind, snr_db in ENROLMENT_NOISES
    ]
    return HeardExample(
        phrase=example.phrase,
        words=np.stack([word_vector(network, sound) for sound in sounds]),
        voices=tuple(voice_vector(sound) for sound in sounds),
    )


def fit_voice(network: WordNetwork, examples: Sequence[Example]) -> FittedVoice:
    """Fit a voice to its examples.

    Raises:
        ValueError: there are none.
        ModelError: the network came without background features.
    """
    groups = by_phrase(examples)
    return fit_heard(
        network,
        [
            hear_example(network, example, seed)
            for group in groups.values()
            for seed, example in enumerate(group)
        ],
    )


def fit_heard(
    network: WordNetwork, heard: Sequence[HeardExample], rounds: int = _ROUNDS
) -> FittedVoice:
    """Fit a voice to examples that were heard already; see `fit_voice`.

    Args:
        network: gives the starting point.
        heard: at least one example.
        rounds: gradient steps.
    """
    if not heard:
        raise ValueError("say at least one phrase to enrol")
    phrases = dict.fromkeys(h.phrase for h in heard)
    new = tuple(p for p in phrases if p not in network.labels)
    labels = (*network.phrases, *new, OTHER, NOISE)
    rows = [h.words for h in heard]
    targets = [np.full(len(h.words), labels.index(h.phrase)) for h in heard]
    for label, found in background_rows(network).items():
        rows.append(found)
        targets.append(np.full(len(found), labels.index(label)))
    head = fit_rows(
        network,
        labels,
        np.concatenate(rows),
        np.concatenate(targets),
        pull=PULL,
        rounds=rounds,
    )
    marks = marks_of(heard)
    return FittedVoice(
        head=head,
        phrases=frozenset(phrases),
        words=marks.words,
        spectra=marks.spectra,
        pitch_hz=marks.pitch_hz,
    )


def marks_of(heard: Sequence[HeardExample]) -> VoiceMarks:
    """Return the marks of the voice that said all these examples."""
    phrases = dict.fromkeys(h.phrase for h in heard)
    pitches = [v.pitch_hz for h in heard for v in h.voices if v.pitch_hz is not None]
    return VoiceMarks(
        words={
            p: np.concatenate([h.words for h in heard if h.phrase == p])
            for p in phrases
        },
        spectra={
            p: np.stack([v.spectrum for h in heard if h.phrase == p for v in h.voices])
            for p in phrases
        },
        pitch_hz=float(np.median(pitches)) if pitches else None,
    )


def _in_noise(
    word: Frames, kind: NoiseKind, snr_db: float, rng: np.random.Generator
) -> Frames:
    """Put one example into a noise, with room around it as an endpointer leaves."""
    lead, tail = (
        int(rng.uniform(0.2, 0.5) * RATE_HZ),
        int(rng.uniform(0.2, 0.6) * RATE_HZ),
    )
    clip = np.pad(word, (lead, tail))
    shelf = _shelf(kind)
    begin = int(rng.integers(shelf.size - clip.size))
    return guard_peak(mix_at_snr(clip, shelf[begin:], snr_db))


@cache
def _shelf(kind: NoiseKind) -> Frames:
    """A stretch of noise to cut pieces from: making each anew takes long."""
    seed = list(NoiseKind).index(kind)
    return noise(kind, _SHELF_S * RATE_HZ, np.random.default_rng(seed))
