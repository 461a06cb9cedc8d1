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

from voicecheck.audio.frames import Frames
from voicecheck.speech.calibration import Calibration, load_calibration
from voicecheck.speech.network.model import NOISE, OTHER, WordNetwork
from voicecheck.speech.pocketsphinx_recogniser import (
    Evidence,
    PocketSphinxRecogniser,
)
from voicecheck.speech.ports import ActiveSet, Hypothesis

AGREEMENT = 2.5
"""Nats that one agreeing decode adds to a candidate; chosen on tuning voices."""
_FLOOR = 1e-5


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
        evidence = self._sphinx.evidence(utterance, active)
        texts = frozenset(p.text for p in active.phrases) & self._known
        shares = self._network.posteriors(utterance, texts)
        if active.numbers and evidence.words and active.phrase(evidence.words) is None:
            return self._sphinx.hypotheses(evidence, active)
        ranked = rank(shares, evidence)
        if not ranked:
            return ()
        best, second = ranked[0], (ranked[1] if len(ranked) > 1 else None)
        confidence = self._calibration.probability(features(shares, evidence, ranked))
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


def scores(shares: dict[str, float], evidence: Evidence) -> dict[str, float]:
    """Return the joint score of every candidate, in nats."""
    candidates = {text for text in shares if text not in (OTHER, NOISE)}
    candidates |= {text for text in (evidence.raw, evidence.clean) if text}
    return {
        text: math.log(max(shares.get(text, 0.0), _FLOOR))
        + AGREEMENT * ((evidence.raw == text) + (evidence.clean == text))
        for text in candidates
    }


def rank(shares: dict[str, float], evidence: Evidence) -> list[str]:
    """Return the candidates, the likeliest first."""
    found = scores(shares, evidence)
    return sorted(found, key=lambda text: -found[text])


def features(
    shares: dict[str, float], evidence: Evidence, ranked: list[str]
) -> dict[str, float]:
    """Return what the map judges the best candidate by."""
    best = ranked[0]
    found = scores(shares, evidence)
    second = found[ranked[1]] if len(ranked) > 1 else math.log(_FLOOR)
    own = shares.get(best, 0.0)
    sphinx = evidence.features
    return {
        "network": math.log(max(own, _FLOOR)),
        "other": math.log(max(shares.get(OTHER, 0.0), _FLOOR)),
        "noise": math.log(max(shares.get(NOISE, 0.0), _FLOOR)),
        "margin": min(found[best] - second, 12.0),
        "raw": 1.0 if evidence.raw == best else 0.0,
        "clean": 1.0 if evidence.clean == best else 0.0,
        "free_quiet": sphinx.get("free_quiet", -4.0),
        "margin_quiet": sphinx.get("margin_quiet", 0.0),
        "score_quiet": max(-10.0, sphinx.get("score_quiet", -10.0)),
        "noisy": sphinx.get("noisy", 1.0),
    }
