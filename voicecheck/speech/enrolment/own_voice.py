"""How the recogniser uses a profile: two answers, weighed by whose voice it is.

The stranger's answer and the enrolled answer are both worked out; each
probability counts as much as it is likely that the profile's owner speaks.
Below even odds the profile counts for nothing: another voice must fare no
worse than a stranger. Nor does it count at a question of which fewer than two
meanings have been enrolled: a layer that has heard a voice say "yes" only takes
all that the voice says for a yes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.speech.enrolment.fitting import FittedVoice
from voicecheck.speech.enrolment.voice_match import VoiceMatch
from voicecheck.speech.fusion import Fusion, Witnesses, load_fusion
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.ports import ActiveSet

__all__ = ["OwnVoice", "enrolled_shares", "with_profile"]

_LEAST_TRUST = 0.5
_COMPARED_FROM = 0.5
"""Words that are less sure than this say nothing about the voice."""


def enrolled_shares(
    network: WordNetwork,
    voice: FittedVoice,
    vector: NDArray[np.float32],
    active: frozenset[str],
) -> dict[str, float]:
    """Return the enrolled layer's posterior; see `WordNetwork.posteriors`."""
    return network.restricted(voice.head.posteriors(vector), active)


def with_profile(
    evidence: Witnesses, shares: Mapping[str, float], voice: FittedVoice
) -> Witnesses:
    """Put the enrolled layer's posterior in the place of the shipped layer's."""
    return replace(
        evidence, shares=shares, stranger=evidence.shares, enrolled=voice.phrases
    )


def _tells_apart(enrolled: frozenset[str], active: ActiveSet) -> bool:
    """Tell whether two answers of different meaning have examples."""
    answers = [p for p in active.phrases if not p.control]
    return len({p.meaning for p in answers if p.text in enrolled}) >= 2


class OwnVoice:
    """The profile of the operator who is said to speak.

    Args:
        operator: their id, for what is told to people.
        voice: fitted to the network that is used.
        network: of strangers.
        fusion: weights of the enrolled answer; None: the shipped ones.
        match: follows whose voice it is; None: a fresh one.
    """

    def __init__(
        self,
        operator: str,
        voice: FittedVoice,
        network: WordNetwork,
        fusion: Fusion | None = None,
        match: VoiceMatch | None = None,
    ) -> None:
        self.operator = operator
        self._voice = voice
        self._network = network
        self._fusion = fusion or load_fusion("fusion-enrolled")
        self.match = match or VoiceMatch(network, voice)
        self._told = False

    @property
    def phrases(self) -> frozenset[str]:
        """Phrases with examples; the network need not know them."""
        return self._voice.phrases

    @property
    def in_use(self) -> bool:
        """Whether the profile counts at the moment."""
        return self.match.trust >= _LEAST_TRUST and not self.match.is_mismatch

    def mismatch_news(self) -> bool:
        """Return True once, when it has become clear that another voice speaks."""
        if self._told or not self.match.is_mismatch:
            return False
        self._told = True
        return True

    def weigh(
        self,
        utterance: Frames,
        pooled: NDArray[np.float32],
        evidence: Witnesses,
        stranger: Mapping[str, float],
        active: ActiveSet,
    ) -> dict[str, float]:
        """Return the probability of the likeliest phrases.

        Args:
            utterance: the sound.
            pooled: the network's features of it.
            evidence: with the shipped layer's shares.
            stranger: what a recogniser without a profile makes of it.
            active: the phrases that may be said.
        """
        if not _tells_apart(self._voice.phrases, active):
            return dict(stranger)
        texts = frozenset(phrase.text for phrase in active.phrases)
        shares = enrolled_shares(self._network, self._voice, pooled, texts)
        own = self._answer(evidence, shares)
        self._compare(utterance, pooled, own)
        if not self.in_use:
            return dict(stranger)
        trust = self.match.trust
        return {
            text: trust * own.get(text, 0.0) + (1 - trust) * stranger.get(text, 0.0)
            for text in {**own, **stranger}
        }

    def _answer(
        self, evidence: Witnesses, shares: Mapping[str, float]
    ) -> dict[str, float]:
        return self._fusion.posterior(with_profile(evidence, shares, self._voice))

    def _compare(
        self, utterance: Frames, vector: NDArray[np.float32], own: Mapping[str, float]
    ) -> None:
        if not own:
            return
        word = max(own, key=own.__getitem__)
        if own[word] < _COMPARED_FROM:
            return
        likeness = self.match.compare(word, utterance, vector)
        if likeness is not None:
            self.match.take(likeness)
