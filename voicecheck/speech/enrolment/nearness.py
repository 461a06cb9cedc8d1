"""Is an example nearer to its own word than to the others?

Two witnesses: the stranger's network, as long as it is sure, and the distance
to the examples that this voice has given so far. A voice that the network
mistakes must still be able to enrol, so the network alone refuses nothing once
two examples of the word agree with each other.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.speech.enrolment.checks import Fault
from voicecheck.speech.enrolment.network_view import background_rows, word_vector
from voicecheck.speech.enrolment.profile import Example
from voicecheck.speech.network.model import OTHER, WordNetwork

__all__ = ["Nearness"]

_SURE = 0.9
"""Share from which the network's word counts against an example."""
_CLEARLY = 0.8
"""An example is another word's when it lies this much nearer to it."""


class Nearness:
    """Judge examples of one voice, each against those before it.

    Args:
        network: of strangers.
        words: the phrases that are enrolled.
    """

    def __init__(self, network: WordNetwork, words: Collection[str]) -> None:
        self._network = network
        self._active = frozenset(words) & frozenset(network.phrases)
        spread = background_rows(network)[OTHER].std(axis=0)
        self._scale: NDArray[np.float32] = 1.0 / (spread + 1e-3)
        self._given: dict[str, list[NDArray[np.float32]]] = {}

    def add(self, examples: Sequence[Example]) -> None:
        """Take examples as given."""
        for example in examples:
            vector = self._vector(example.frames)
            self._given.setdefault(example.phrase, []).append(vector)

    def judge(self, phrase: str, frames: Frames) -> tuple[Fault | None, str]:
        """Return what is wrong with an example, and the word it sounds like."""
        vector = self._vector(frames)
        distances = {
            word: min(float(np.linalg.norm(vector - v)) for v in given)
            for word, given in self._given.items()
        }
        others = {w: d for w, d in distances.items() if w != phrase}
        if phrase in distances and others:
            nearest = min(others, key=others.__getitem__)
            if others[nearest] < _CLEARLY * distances[phrase]:
                return Fault.UNLIKE, nearest
            return None, ""
        return self._by_network(phrase, frames)

    def _by_network(self, phrase: str, frames: Frames) -> tuple[Fault | None, str]:
        """The first example of a word: only the network can object."""
        if phrase not in self._active:
            return None, ""
        padded = np.pad(frames, 3_200)
        shares = self._network.posteriors(padded, self._active)
        heard = max(self._active, key=lambda word: shares[word])
        if heard != phrase and shares[heard] >= _SURE:
            return Fault.OTHER_WORD, heard
        return None, ""

    def _vector(self, frames: Frames) -> NDArray[np.float32]:
        return np.asarray(word_vector(self._network, frames) * self._scale)
