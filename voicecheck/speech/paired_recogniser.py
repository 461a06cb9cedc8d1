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
from typing import Protocol

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


class Profile(Protocol):
    """What one operator's voice has to add; see `enrolment.own_voice`."""

    @property
    def phrases(self) -> frozenset[str]: ...

    def weigh(
        self,
        utterance: Frames,
        evidence: Witnesses,
        stranger: Mapping[str, float],
        active: frozenset[str],
    ) -> dict[str, float]: ...


class PairedRecogniser:
    """Recognise English phrases with both witnesses.

    Args:
        sphinx: the grammar engine.
        network: the small network.
        calibration: from the evidence of both to a probability.
        profile: of the operator who speaks, if they have enrolled.

    Raises:
        ModelError: the library or the network's weights are missing.
    """

    name = "pocketsphinx+network"

    def __init__(
        self,
        sphinx: PocketSphinxRecogniser | None = None,
        network: WordNetwork | None = None,
        calibration: Calibration | None = None,
        profile: Profile | None = None,
    ) -> None:
        self._sphinx = sphinx or PocketSphinxRecogniser()
        self._network = network or WordNetwork.load()
        self._calibration = calibration or load_calibration("paired")
        self._known = frozenset(self._network.phrases)
        self._profile = profile
        self._last: Witnesses | None = None

    @property
    def network(self) -> WordNetwork:
        """The network that is used."""
        return self._network

    def agreed_on(self, text: str) -> bool:
        """Tell whether both decodes of the last utterance found this phrase."""
        last = self._last
        return last is not None and last.raw == last.clean == text

    @property
    def language(self) -> str:
        """The one language of both witnesses."""
        return self._sphinx.language

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Return what may have been said; see `Recogniser`."""
        self._last = None
        decodes = self._sphinx.decodes(utterance, active)
        if active.numbers and decodes.words and active.phrase(decodes.words) is None:
            return self._number(decodes, active)
        texts = frozenset(p.text for p in active.phrases)
        evidence = Witnesses(
            shares=self._network.posteriors(utterance, texts & self._known),
            raw=decodes.raw.words,
            clean=decodes.clean.words,
            noisy=decodes.noisy,
        )
        self._last = evidence
        found = self._as_stranger(evidence)
        if self._profile is not None:
            found = self._profile.weigh(utterance, evidence, found, texts)
        return _hypotheses(found, active, len(utterance) / RATE_HZ)

    def _as_stranger(self, evidence: Witnesses) -> dict[str, float]:
        """Return the probability of the best phrase and of the next."""
        ranked = rank(evidence)
        if not ranked:
            return {}
        first = self._calibration.probability(features(evidence, ranked))
        found = {ranked[0]: first}
        if len(ranked) > 1:
            found[ranked[1]] = (1.0 - first) * self._calibration.other_share
        return found

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


def _hypotheses(
    found: Mapping[str, float], active: ActiveSet, utterance_s: float
) -> tuple[Hypothesis, ...]:
    """Return the two likeliest phrases; one of odd length is trusted less."""
    ranked = sorted(found, key=lambda text: -found[text])[:2]
    if not ranked:
        return ()
    trusted = 1.0 if has_plausible_length(ranked[0], utterance_s) else _ODD_LENGTH_TRUST
    first = found[ranked[0]]
    # what the first loses in trust, the second gains its part of
    gained = (1.0 - trusted * first) / max(1e-9, 1.0 - first)
    shares = (trusted * first, gained * found[ranked[-1]])
    return tuple(
        Hypothesis(
            phrase=phrase.text,
            meaning=phrase.meaning,
            confidence=share,
            control=phrase.control,
        )
        for text, share in zip(ranked, shares, strict=False)
        if (phrase := active.phrase(text)) is not None
    )


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
