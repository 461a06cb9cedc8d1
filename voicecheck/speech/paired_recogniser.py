"""PocketSphinx and our own small network as witnesses of one utterance.

PocketSphinx was trained on many human voices in quiet; the network on few
voices in much noise, as whole phrases and as phones. They fail on different
sounds, so together they say more than any of them; `fusion` weighs them into
one posterior. Spoken numbers, which the network does not know, are left to
PocketSphinx.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.speech.focus import loud_parts
from voicecheck.speech.fusion import Fusion, Witnesses, load_fusion
from voicecheck.speech.grammar.numbers import parse_number
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.pocketsphinx_recogniser import (
    Decodes,
    PocketSphinxRecogniser,
)
from voicecheck.speech.ports import ActiveSet, Hypothesis
from voicecheck.speech.witness import witnesses

_BY_VOTES = (0.22, 0.43, 0.65, 0.96)
"""How often the most agreed number was right, by how many of the four decodes
found it: 200 trials of ten voices of formant and recorded synthesisers, ten
numbers, in quiet and at 10 dB over an idling diesel."""
_NEXT_BY_VOTES = (0.13, 0.09, 0.19, 0.04)
"""How often the next one was right, by the votes of the first; same trials."""
_OTHERS = 0.03
_MOST = 3
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
        active: frozenset[str],
    ) -> dict[str, float]: ...


class PairedRecogniser:
    """Recognise English phrases with both witnesses.

    Args:
        sphinx: the grammar engine.
        network: the small network.
        fusion: weights of the witnesses.
        profile: of the operator who speaks, if they have enrolled.

    Raises:
        ModelError: the library or the network's weights are missing.
    """

    name = "pocketsphinx+network"
    habit_tried = True
    """The figures are in `dialogue.habit`."""
    hears_down_to_db = -2.0
    """Speech over noise; the figures are in `noise_watch.loudness`."""

    def __init__(
        self,
        sphinx: PocketSphinxRecogniser | None = None,
        network: WordNetwork | None = None,
        fusion: Fusion | None = None,
        profile: Profile | None = None,
    ) -> None:
        self._sphinx = sphinx or PocketSphinxRecogniser()
        self._network = network or WordNetwork.load()
        self._fusion = fusion or load_fusion()
        self._profile = profile
        self._last: Witnesses | None = None

    @property
    def network(self) -> WordNetwork:
        """The network that is used."""
        return self._network

    def weighing(self, fusion: Fusion) -> PairedRecogniser:
        """Return one with the same witnesses, weighed otherwise, for any voice."""
        return PairedRecogniser(self._sphinx, self._network, fusion)

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
        if len(utterance) < _SHORTEST or not active.phrases:
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
            texts = frozenset(p.text for p in active.phrases)
            pooled = impression.pooled
            found = self._profile.weigh(utterance, pooled, evidence, found, texts)
        return found, evidence

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


def ranked(found: Mapping[str, float], active: ActiveSet) -> tuple[Hypothesis, ...]:
    """Return the likeliest phrases, at most three."""
    likeliest = sorted(found, key=lambda text: -found[text])[:_MOST]
    return tuple(
        Hypothesis(
            phrase=phrase.text,
            meaning=phrase.meaning,
            confidence=found[text],
            control=phrase.control,
        )
        for text in likeliest
        if (phrase := active.phrase(text)) is not None
    )
