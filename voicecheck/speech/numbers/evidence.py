"""What speaks for each number that may have been said, and for none at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from voicecheck.speech.network.ctc import best_sequence, sequence_scores
from voicecheck.speech.network.digit_words import POINT_WORDS, WORDS
from voicecheck.speech.numbers.strings import (
    Words,
    apart,
    is_number,
    neighbours,
    words_of,
)
from voicecheck.speech.pocketsphinx_recogniser import Decodes

__all__ = [
    "DECODES",
    "NumberEvidence",
    "features_of",
    "gather",
    "none_features",
    "number_decodes",
]

DECODES = ("raw", "clean", "mixed")
"""Of the grammar engine: the sound as it is, denoised, and between the two."""
_FARTHEST = -30.0
"""Nats that one number may lie behind the likeliest, at most."""
_KEPT = 60
"""Candidates that are looked at closely."""
_NOTHING = 2
"""Words that a decode without a number lies away from any number."""
_LEAST_NETWORK = -12.0
"""Nats a word; a number that fits worse is no worse than that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberEvidence:
    """What was found about one utterance."""

    decodes: tuple[Words, ...]
    """What each of `DECODES` found; () where it is no number."""
    noisy: bool
    """Whether the speech stands little over the background."""
    network: Mapping[Words, float]
    """Log probability of each candidate by the digit network, nats."""
    silence: float
    """Of no word at all."""


def number_decodes(decodes: Decodes) -> list[Words]:
    """Return the numbers that the grammar engine found, in the order of `DECODES`."""
    mixed = decodes.mixed.words if decodes.mixed else ""
    return [words_of(text) for text in (decodes.raw.words, decodes.clean.words, mixed)]


def gather(
    logs: NDArray[np.float32], decodes: Sequence[Words], *, noisy: bool
) -> NumberEvidence:
    """Collect candidates and score them.

    Candidates are what the decodes and the network found, and all that is one
    word away from it.

    Args:
        logs: of the digit network, shape (time, 1 + words).
        decodes: in the order of `DECODES`.
        noisy: see `NumberEvidence`.
    """
    own = tuple(WORDS[i - 1] for i in best_sequence(logs))
    found = {words for words in (*decodes, own) if is_number(words)}
    candidates = _nearest(neighbours(found), [d for d in decodes if d], own)
    rows = [[WORDS.index(word) + 1 for word in words] for words in candidates]
    scores = sequence_scores(logs, [*rows, []]).tolist()
    return NumberEvidence(
        decodes=tuple(decodes),
        noisy=noisy,
        network=dict(zip(candidates, scores[:-1], strict=True)),
        silence=scores[-1],
    )


def _nearest(
    candidates: frozenset[Words], decodes: Sequence[Words], own: Words
) -> list[Words]:
    """Return those that lie nearest to all that was found, in a fixed order."""
    return sorted(
        candidates,
        key=lambda words: (
            sum(apart(words, d) for d in decodes) + 2 * apart(words, own),
            words,
        ),
    )[:_KEPT]


def features_of(evidence: NumberEvidence) -> dict[Words, dict[str, float]]:
    """Return what speaks for each candidate."""
    top = max(evidence.network.values(), default=0.0)
    noisy = float(evidence.noisy)
    found = {}
    for words, score in evidence.network.items():
        behind = max(score - top, _FARTHEST)
        row = {
            "network": behind,
            "network_noisy": behind * noisy,
            "words": float(len(words)),
            "words_noisy": len(words) * noisy,
            "point": float(POINT_WORDS[0] in words),
        }
        for name, decode in zip(DECODES, evidence.decodes, strict=True):
            away = float(apart(words, decode) if decode else _NOTHING)
            row[f"{name}_apart"] = away
            row[f"{name}_apart_noisy"] = away * noisy
            row[f"{name}_same"] = float(words == decode)
        found[words] = row
    return found


def none_features(evidence: NumberEvidence) -> dict[str, float]:
    """Return what speaks for something that is no number."""
    best = max(evidence.network, key=lambda w: evidence.network[w], default=())
    score = evidence.network.get(best, evidence.silence)
    return {
        "always": 1.0,
        "noisy": float(evidence.noisy),
        "misfit": -max(score / max(len(best), 1), _LEAST_NETWORK),
        "silence": max(evidence.silence - score, _FARTHEST),
        "without": float(sum(not decode for decode in evidence.decodes)),
        "disagreement": float(len({d for d in evidence.decodes if d})),
    }
