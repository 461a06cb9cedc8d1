"""PocketSphinx and our own small network as witnesses of one utterance.

PocketSphinx was trained on many human voices in quiet; the network on few
voices in much noise, as whole phrases and as phones. They fail on different
sounds, so together they say more than any of them; `fusion` weighs them into
one posterior, `numbers` what PocketSphinx and a second small network hear of a
spoken number.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.speech.focus import loud_parts
from voicecheck.speech.fusion import Fusion, Witnesses, load_fusion
from voicecheck.speech.grammar.numbers import parse_number
from voicecheck.speech.network.digit_network import DigitNetwork
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.numbers.evidence import gather, number_decodes
from voicecheck.speech.numbers.weighing import NumberWeights, load_number_weights
from voicecheck.speech.pocketsphinx_recogniser import (
    Decodes,
    PocketSphinxRecogniser,
)
from voicecheck.speech.ports import ActiveSet, Hypothesis
from voicecheck.speech.witness import witnesses

_MOST = 3
_MOST_NUMBERS = 5
_A_NUMBER = 0.5
"""Where nothing was understood as a phrase: it is a number that is surer than that."""
_SURE = 0.95
"""No other part of the utterance is looked at then."""
_SHORTEST = 800
"""Samples: 50 ms."""


class Profile(Protocol):
    """What one operator's voice has to add; see `enrolment.own_voice`."""

    @property
    def phrases(self) -> frozenset[str]: ...

    def weigh(
        self,
        utterance: Frames,
        pooled: NDArray[np.float32],
        evidence: Witnesses,
        stranger: Mapping[str, float],
        active: ActiveSet,
    ) -> dict[str, float]: ...


class PairedRecogniser:
    """Recognise English phrases with both witnesses.

    Args:
        sphinx: the grammar engine.
        network: the small network.
        fusion: weights of the witnesses.
        profile: of the operator who speaks, if they have enrolled.
        digits: the network that hears numbers.
        numbers: weights of what speaks for a number.

    Raises:
        ModelError: the library or the network's weights are missing.
    """

    name = "pocketsphinx+network"
    odds_tried = True
    """The figures are in `dialogue.habit` and `dialogue.objection`."""
    hears_down_to_db = -2.0
    """Speech over noise; the figures are in `noise_watch.loudness`."""

    def __init__(
        self,
        sphinx: PocketSphinxRecogniser | None = None,
        network: WordNetwork | None = None,
        fusion: Fusion | None = None,
        profile: Profile | None = None,
        digits: DigitNetwork | None = None,
        numbers: NumberWeights | None = None,
    ) -> None:
        self._sphinx = sphinx or PocketSphinxRecogniser()
        self._network = network or WordNetwork.load()
        self._fusion = fusion or load_fusion()
        self._profile = profile
        self._digits = digits or DigitNetwork.load()
        self._numbers = numbers or load_number_weights()
        self._last: Witnesses | None = None

    @property
    def network(self) -> WordNetwork:
        """The network that is used."""
        return self._network

    def weighing(self, fusion: Fusion) -> PairedRecogniser:
        """Return one with the same witnesses, weighed otherwise, for any voice."""
        return self._with(fusion, None)

    def with_profile(self, profile: Profile) -> PairedRecogniser:
        """Return one with the same witnesses that knows a voice."""
        return self._with(self._fusion, profile)

    def _with(self, fusion: Fusion, profile: Profile | None) -> PairedRecogniser:
        return PairedRecogniser(
            self._sphinx, self._network, fusion, profile, self._digits, self._numbers
        )

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
        if len(utterance) < _SHORTEST:
            return ()
        if active.numbers and active.phrase(decodes.words) is None:
            numbers = self._number(utterance, decodes, active)
            sure = sum(h.confidence for h in numbers)
            if decodes.words or sure >= _A_NUMBER:
                return numbers
        if not active.phrases:
            return ()
        found, self._last = self._posterior(utterance, decodes, active)
        parts = () if active.numbers else loud_parts(utterance)
        for part in parts:  # others talked around the word: the surest counts
            if max(found.values()) >= _SURE:
                break
            decoded = self._sphinx.decodes(part, active)
            other, evidence = self._posterior(part, decoded, active)
            if max(other.values()) > max(found.values()):
                found, self._last = other, evidence
        return ranked(found, active)

    def _posterior(
        self, utterance: Frames, decodes: Decodes, active: ActiveSet
    ) -> tuple[dict[str, float], Witnesses]:
        """Return the probability of each phrase, and what it was made of."""
        impression = self._network.impression(utterance)
        evidence = witnesses(self._network, impression, decodes, utterance, active)
        found = self._fusion.posterior(evidence)
        if self._profile is not None:
            pooled = impression.pooled
            found = self._profile.weigh(utterance, pooled, evidence, found, active)
        return found, evidence

    def _number(
        self, utterance: Frames, decodes: Decodes, active: ActiveSet
    ) -> tuple[Hypothesis, ...]:
        """Return the likeliest numbers; strings of the same value count together."""
        logs = self._digits.log_words(utterance)
        found = number_decodes(decodes)
        evidence = gather(logs, found, noisy=decodes.noisy)
        posterior = self._numbers.posterior(evidence)
        by_value: dict[Decimal, Hypothesis] = {}
        for words in sorted(posterior, key=lambda w: -posterior[w]):
            text = " ".join(words)
            value = parse_number(text, active.language)
            if value is None:
                continue
            same = by_value.get(value)
            by_value[value] = Hypothesis(
                phrase=same.phrase if same else text,
                meaning=same.meaning if same else str(value),
                confidence=posterior[words] + (same.confidence if same else 0.0),
            )
        likeliest = sorted(by_value.values(), key=lambda h: -h.confidence)
        return tuple(likeliest[:_MOST_NUMBERS])


def ranked(found: Mapping[str, float], active: ActiveSet) -> tuple[Hypothesis, ...]:
    """Return the phrases of the three likeliest meanings, the likeliest first.

    By meaning: three ways to say "good" must not crowd out the "defect" that one of
    them may have been.
    """
    phrases = {text: active.phrase(text) for text in found}
    shares: dict[tuple[str, bool], float] = {}
    for text, phrase in phrases.items():
        if phrase is not None:
            meaning = phrase.meaning, phrase.control
            shares[meaning] = shares.get(meaning, 0.0) + found[text]
    kept = sorted(shares, key=lambda meaning: -shares[meaning])[:_MOST]
    return tuple(
        Hypothesis(
            phrase=phrase.text,
            meaning=phrase.meaning,
            confidence=found[text],
            control=phrase.control,
        )
        for text in sorted(found, key=lambda text: -found[text])
        if (phrase := phrases[text]) is not None
        and (phrase.meaning, phrase.control) in kept
    )
