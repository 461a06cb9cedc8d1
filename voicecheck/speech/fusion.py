"""One posterior out of three witnesses: phrase network, phones, grammar engine.

Each phrase that may be said is a candidate, and so is "none of them". A
candidate's score is a weighted sum of what each witness says for it; the
softmax of the scores is the posterior. The weights are fitted on trials of
voices that the network of the same training without them had not heard.

Method: conditional logit, McFadden 1974, "Conditional logit analysis of
qualitative choice behavior".
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import resources

from voicecheck.speech.network.model import NOISE, OTHER

__all__ = [
    "AROUND_S",
    "SHORTEST_S_A_LETTER",
    "Fusion",
    "Witnesses",
    "candidate_features",
    "load_fusion",
    "none_features",
]

_FLOOR = 1e-5
_FARTHEST = -25.0
"""Nats that one pronunciation may lie behind the best, at most."""
_WORST_FIT = 40.0
AROUND_S = 0.5
"""Background that the end-pointing keeps around a word."""
SHORTEST_S_A_LETTER = 0.02
_USUAL_S, _USUAL_S_A_LETTER = 0.35, 0.06
_FEW_PHONES = 4
"""A phrase of fewer is what the grammar engine makes of anything short."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Witnesses:
    """What all have to say about one utterance."""

    shares: Mapping[str, float]
    """The phrase layer's posterior over the phrases it knows, OTHER and NOISE."""
    raw: str
    """What the grammar engine makes of the sound as it is."""
    clean: str
    """What it makes of the denoised sound."""
    noisy: bool
    """Whether the word stands little over the background."""
    spoken: Mapping[str, float]
    """How far each phrase's pronunciation lies behind the best path through the
    phones, in nats; for every phrase that may be said."""
    phones: Mapping[str, int]
    """How many phones each phrase has."""
    utterance_s: float
    """Length, with the background around."""
    stranger: Mapping[str, float] = field(default_factory=dict)
    """With a profile: the shipped layer's posterior, `shares` being the profile's."""
    enrolled: frozenset[str] = frozenset()
    """Phrases with examples in the profile."""


def candidate_features(evidence: Witnesses) -> dict[str, dict[str, float]]:
    """Return what speaks for each phrase that may be said."""
    nearest = max(evidence.spoken.values(), default=0.0)
    voiced_s = evidence.utterance_s - AROUND_S
    noisy = evidence.noisy
    found = {}
    for text, fit in evidence.spoken.items():
        raw, clean = evidence.raw == text, evidence.clean == text
        brief = float(max(0, _FEW_PHONES - evidence.phones[text]))
        usual_s = _USUAL_S + _USUAL_S_A_LETTER * len(text)
        found[text] = {
            "network": _log(evidence.shares.get(text, 0.0)),
            "raw_quiet": float(raw and not noisy),
            "raw_noisy": float(raw and noisy),
            "clean_quiet": float(clean and not noisy),
            "clean_noisy": float(clean and noisy),
            "network_noisy": _log(evidence.shares.get(text, 0.0)) * noisy,
            "spoken": max(fit - nearest, _FARTHEST),
            "spoken_noisy": max(fit - nearest, _FARTHEST) * noisy,
            "brief": brief,
            "raw_brief": brief * raw,
            "clean_brief": brief * clean,
            "unknown": 0.0 if text in evidence.shares else 1.0,
            "short": 10 * max(0.0, SHORTEST_S_A_LETTER * len(text) - voiced_s),
            "long": max(0.0, voiced_s - usual_s),
            "stranger": _log(evidence.stranger.get(text, 0.0)),
            "enrolled": float(text in evidence.enrolled),
        }
    return found


def none_features(evidence: Witnesses) -> dict[str, float]:
    """Return what speaks for something that may not be said now."""
    shares, spoken = evidence.shares, evidence.spoken
    nearest = max(spoken, key=lambda text: spoken[text])
    misfit = min(_WORST_FIT, -spoken[nearest]) / evidence.phones[nearest]
    return {
        "always": 1.0,
        "other": _log(shares.get(OTHER, 0.0)),
        "noise": _log(shares.get(NOISE, 0.0)),
        "misfit": misfit,
        "no_raw": float(not evidence.raw),
        "no_clean": float(not evidence.clean),
        "length_s": evidence.utterance_s,
        "noisy": float(evidence.noisy),
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Fusion:
    """The weights of the scores."""

    candidate: Mapping[str, float]
    none: Mapping[str, float]
    provenance: str = ""

    def posterior(self, evidence: Witnesses) -> dict[str, float]:
        """Return the probability of each phrase; what is missing to 1 is "none".

        Args:
            evidence: of one utterance, with at least one phrase in `spoken`.
        """
        scores = {
            text: _sum(self.candidate, found)
            for text, found in candidate_features(evidence).items()
        }
        none = _sum(self.none, none_features(evidence))
        top = max(none, *scores.values())
        weights = {text: math.exp(score - top) for text, score in scores.items()}
        total = sum(weights.values()) + math.exp(none - top)
        return {text: weight / total for text, weight in weights.items()}


@cache
def load_fusion(name: str = "fusion") -> Fusion:
    """Return the weights that come with the package."""
    file = resources.files(__package__) / "calibrations" / f"{name}.json"
    return Fusion(**json.loads(file.read_text(encoding="utf-8")))


def _sum(weights: Mapping[str, float], found: Mapping[str, float]) -> float:
    return sum(weight * found[name] for name, weight in weights.items())


def _log(share: float) -> float:
    return math.log(max(share, _FLOOR))
