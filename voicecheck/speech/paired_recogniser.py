"""PocketSphinx and our own small network as two witnesses of one utterance.

PocketSphinx was trained on many human voices in quiet; the network on few
voices in much noise. They fail on different sounds, so their agreement says
more than either score. Spoken numbers, which the network does not know, are
left to PocketSphinx.

Each candidate is scored by the network's log posterior plus a bonus for each
PocketSphinx decode (as it is, and denoised) that found the same phrase; the
best is taken, and a logistic map over the same evidence gives its confidence.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.speech.calibration import Calibration, load_calibration
from voicecheck.speech.grammar.numbers import parse_number
from voicecheck.speech.network.model import NOISE, OTHER, WordNetwork
from voicecheck.speech.pocketsphinx_recogniser import (
    Decodes,
    PocketSphinxRecogniser,
)
from voicecheck.speech.ports import ActiveSet, Hypothesis

AGREEMENT = 1.5
"""Nats that one agreeing decode adds to a candidate; chosen on tuning voices."""
_FLOOR = 1e-5
_WIDEST_MARGIN = 12.0
_BY_VOTES = (0.22, 0.43, 0.65, 0.96)
"""How often the most agreed number was right, by how many of the four decodes
found it: 200 trials of ten voices of formant and recorded synthesisers, ten
numbers, in quiet and at 10 dB over an idling diesel."""
_NEXT_BY_VOTES = (0.13, 0.09, 0.19, 0.04)
"""How often the next one was right, by the votes of the first; same trials."""
_OTHERS = 0.03
_ODD_LENGTH_TRUST = 0.2
_AROUND_S = 0.5
_SHORTEST_S_A_LETTER = 0.02
_LONGEST_S, _LONGEST_S_A_LETTER = 0.7, 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Witnesses:
    """What both have to say about one utterance."""

    shares: Mapping[str, float]
    """The network's posterior over the phrases, OTHER and NOISE."""
    raw: str
    """What PocketSphinx makes of the sound as it is."""
    clean: str
    """What it makes of the denoised sound."""
    noisy: bool


class PairedRecogniser:
    """Recognise English phrases with both witnesses.

    Raises:
        ModelError: the library or the network's weights are missing.
    """

    name = "pocketsphinx+network"

    def __init__(
        self,
        sphinx: PocketSphinxRecogniser | None = None,
        network: WordNetwork | None = None,
        calibration: Calibration | None = None,
    ) -> None:
        self._sphinx = sphinx or PocketSphinxRecogniser()
        self._network = network or WordNetwork.load()
        self._calibration = calibration or load_calibration("paired")
        self._known = frozenset(self._network.phrases)

    @property
    def language(self) -> str:
        """The one language of both witnesses."""
        return self._sphinx.language

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Return what may have been said; see `Recogniser`."""
        decodes = self._sphinx.decodes(utterance, active)
        if active.numbers and decodes.words and active.phrase(decodes.words) is None:
            return self._number(decodes, active)
        texts = frozenset(p.text for p in active.phrases) & self._known
        shares = self._network.posteriors(utterance, texts)
        evidence = Witnesses(
            shares=shares,
            raw=decodes.raw.words,
            clean=decodes.clean.words,
            noisy=decodes.noisy,
        )
        ranked = rank(evidence)
        if not ranked:
            return ()
        best, second = ranked[0], (ranked[1] if len(ranked) > 1 else None)
        confidence = self._calibration.probability(features(evidence, ranked))
        if not has_plausible_length(best, len(utterance) / RATE_HZ):
            confidence *= _ODD_LENGTH_TRUST
        rest = 1.0 - confidence
        found = []
        for text, share in ((best, confidence), (second, None)):
            phrase = active.phrase(text) if text else None
            if phrase is None:
                continue
            probability = (
                rest * self._calibration.other_share if share is None else share
            )
            found.append(
                Hypothesis(
                    phrase=phrase.text,
                    meaning=phrase.meaning,
                    confidence=probability,
                    control=phrase.control,
                )
            )
        return tuple(found)

    def _number(self, decodes: Decodes, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Every number that was found: a refused one gives way to the next."""
        found = []
        first = decodes.votes[0] - 1 if decodes.votes else 0
        shares = (_BY_VOTES[first], _NEXT_BY_VOTES[first], _OTHERS)
        for words, confidence in zip(decodes.numbers, shares, strict=False):
            value = parse_number(words, active.language)
            if value is not None:
                found.append(
                    Hypothesis(phrase=words, meaning=str(value), confidence=confidence)
                )
        return tuple(found)


def has_plausible_length(text: str, utterance_s: float) -> bool:
    """Tell whether a phrase can last as long as the utterance.

    A sentence of talk nearby often holds something like one of our words; it
    lasts too long for it. The bounds are wide: slow speakers and words whose
    end is lost in noise must pass (measured on the tuning voices).

    Args:
        text: the phrase.
        utterance_s: with the background that the end-pointing keeps around it.
    """
    voiced_s = utterance_s - _AROUND_S
    return (
        _SHORTEST_S_A_LETTER * len(text)
        <= voiced_s
        <= _LONGEST_S + _LONGEST_S_A_LETTER * len(text)
    )


def scores(evidence: Witnesses) -> dict[str, float]:
    """Return the joint score of every candidate, in nats."""
    shares = evidence.shares
    candidates = {text for text in shares if text not in (OTHER, NOISE)}
    candidates |= {text for text in (evidence.raw, evidence.clean) if text}
    return {
        text: _log(shares.get(text, 0.0))
        + AGREEMENT * ((evidence.raw == text) + (evidence.clean == text))
        for text in candidates
    }


def rank(evidence: Witnesses) -> list[str]:
    """Return the candidates, the likeliest first."""
    found = scores(evidence)
    return sorted(found, key=lambda text: -found[text])


def features(evidence: Witnesses, ranked: list[str]) -> dict[str, float]:
    """Return what the map judges the best candidate by."""
    best = ranked[0]
    found = scores(evidence)
    second = found[ranked[1]] if len(ranked) > 1 else _log(0.0)
    shares = evidence.shares
    return {
        "network": _log(shares.get(best, 0.0)),
        "other": _log(shares.get(OTHER, 0.0)),
        "noise": _log(shares.get(NOISE, 0.0)),
        "margin": min(found[best] - second, _WIDEST_MARGIN),
        "raw": 1.0 if evidence.raw == best else 0.0,
        "clean": 1.0 if evidence.clean == best else 0.0,
        "noisy": 1.0 if evidence.noisy else 0.0,
    }


def _log(share: float) -> float:
    return math.log(max(share, _FLOOR))
