"""One posterior over the numbers that may have been said.

Method: conditional logit, McFadden 1974, as in `speech.fusion`. The weights are
fitted on trials of voices that the digit network of the same training without
them had not heard.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

from voicecheck.speech.numbers.evidence import (
    NumberEvidence,
    features_of,
    none_features,
)
from voicecheck.speech.numbers.strings import Words

__all__ = ["NumberWeights", "load_number_weights"]


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberWeights:
    """The weights of the scores."""

    number: Mapping[str, float]
    none: Mapping[str, float]
    provenance: str = ""

    def posterior(self, evidence: NumberEvidence) -> dict[Words, float]:
        """Return the probability of each number; what is missing to 1 is "none"."""
        scores = {
            words: _sum(self.number, row)
            for words, row in features_of(evidence).items()
        }
        none = _sum(self.none, none_features(evidence))
        top = max(none, *scores.values()) if scores else none
        shares = {words: math.exp(score - top) for words, score in scores.items()}
        total = sum(shares.values()) + math.exp(none - top)
        return {words: share / total for words, share in shares.items()}


@cache
def load_number_weights() -> NumberWeights:
    """Return the weights that come with the package."""
    file = resources.files("voicecheck.speech") / "calibrations" / "numbers.json"
    return NumberWeights(**json.loads(file.read_text(encoding="utf-8")))


def _sum(weights: Mapping[str, float], found: Mapping[str, float]) -> float:
    return sum(weight * found[name] for name, weight in weights.items())
