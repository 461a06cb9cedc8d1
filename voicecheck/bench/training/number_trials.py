"""Trials of spoken numbers that go the whole way of a sound."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.activity import Endpointer, SileroActivity
from voicecheck.bench.corpus import OTHER, Clip
from voicecheck.bench.training.spoken import words_said
from voicecheck.bench.training.stranger_trials import in_noise
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.network.digit_network import DigitNetwork
from voicecheck.speech.network.digit_words import WORDS
from voicecheck.speech.numbers.evidence import (
    NumberEvidence,
    gather,
    number_decodes,
)
from voicecheck.speech.numbers.strings import Words, is_number
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser

__all__ = ["HeardNumber", "hear_numbers"]

_NUMBERS = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardNumber:
    """One utterance at the question of a number, and what was said."""

    evidence: NumberEvidence
    said: Words
    """() when it was no number."""
    snr_db: float
    voice: str


def hear_numbers(
    network: DigitNetwork, clips: Sequence[Clip], *, count: int, seed: int
) -> Iterator[HeardNumber]:
    """Let the decodes and the network hear numbers, and now and then other speech.

    Trials whose speech the end-pointing misses are left out.

    Args:
        network: that has not heard these voices.
        clips: of the voices, with their strings of digits.
        count: trials.
        seed: of everything drawn.
    """
    rng = np.random.default_rng(seed)
    sphinx = PocketSphinxRecogniser()
    endpointer = Endpointer(SileroActivity())
    active = active_set("number", "en")
    numbers, others = _dealt(clips)
    for _ in range(count):
        clip, said = (
            numbers[int(rng.integers(len(numbers)))]
            if rng.uniform() < _NUMBERS
            else (others[int(rng.integers(len(others)))], ())
        )
        utterance, condition = in_noise(clip, others, rng, endpointer)
        if utterance is None:
            continue
        decodes = sphinx.decodes(utterance, active)
        found = number_decodes(decodes)
        logs = network.log_words(utterance)
        yield HeardNumber(
            evidence=gather(logs, found, noisy=decodes.noisy),
            said=said,
            snr_db=condition.snr_db,
            voice=clip.voice,
        )


def _dealt(clips: Sequence[Clip]) -> tuple[list[tuple[Clip, Words]], list[Clip]]:
    """Numbers of two words and more, and speech without any word of a number."""
    numbers, others = [], []
    for clip in clips:
        indices = words_said(clip.text)
        words = tuple(WORDS[i] for i in indices or ())
        if is_number(words) and len(words) > 1:
            numbers.append((clip, words))
        elif clip.label == OTHER and not set(clip.text.split()) & {*WORDS, "oh"}:
            others.append(clip)
    return numbers, others
