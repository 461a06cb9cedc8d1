"""Get used, during one walk, to the voice of somebody who has not enrolled.

What was surely heard becomes examples, as if the words had been enrolled; a layer
of the operator's own is fitted to them between two answers. Nothing is kept: the
voice is forgotten with the walk. Another voice that takes over is noticed as with a
profile, and heard as a stranger's.

The figures, and those of another voice that takes over, are in DEVELOPERS.md.
"""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from typing import Any

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.errors import ModelError
from voicecheck.speech.calibration import load_calibration
from voicecheck.speech.enrolment.fitting import (
    FittedVoice,
    HeardExample,
    fit_heard,
    hear_example,
)
from voicecheck.speech.enrolment.learning import LearningRecogniser, WalkLearner
from voicecheck.speech.enrolment.own_voice import OwnVoice
from voicecheck.speech.enrolment.profile import Example, by_phrase
from voicecheck.speech.enrolment.voice_match import VoiceMatch
from voicecheck.speech.fusion import Witnesses
from voicecheck.speech.network.model import WordNetwork
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.ports import ActiveSet

__all__ = ["MOST_OF_A_WORD", "Acquaintance", "GrowingVoice"]

_LOG = logging.getLogger(__name__)
MOST_OF_A_WORD = 3
"""Examples of a word; the first ones stay, so that a walk ends with few fits."""
_SAME_VOICE = "walk-match"
"""Its map; see `bench.training.fit_walk_match`."""
_ROUNDS = 80
"""Gradient steps of one fit: a third of a second."""


class GrowingVoice:
    """A profile that begins empty.

    Args:
        network: of strangers.
        executor: what fits; None: the caller waits for each fit.
    """

    def __init__(self, network: WordNetwork, executor: Executor | None = None) -> None:
        self._network = network
        self._executor = executor
        self._own: OwnVoice | None = None
        self._examples: list[Example] = []
        self._heard: dict[int, tuple[Example, HeardExample]] = {}
        """By the id of the example, which is kept so that no other gets its id."""
        self._fits: list[Future[FittedVoice]] = []

    @property
    def phrases(self) -> frozenset[str]:
        """Phrases with examples that count by now."""
        return self._own.phrases if self._own else frozenset()

    @property
    def in_use(self) -> bool:
        """Whether this is still the voice that was heard first."""
        return self._own is None or self._own.in_use

    def weigh(
        self,
        utterance: Frames,
        pooled: NDArray[np.float32],
        evidence: Witnesses,
        stranger: Mapping[str, float],
        active: ActiveSet,
    ) -> dict[str, float]:
        """Return the probability of the likeliest phrases; see `OwnVoice.weigh`."""
        self._take_up()
        if self._own is None:
            return dict(stranger)
        return self._own.weigh(utterance, pooled, evidence, stranger, active)

    def learn(self, examples: Sequence[Example]) -> None:
        """Take the examples that count by now, all of them, the oldest first."""
        groups = by_phrase(examples).values()
        kept = [example for group in groups for example in group[:MOST_OF_A_WORD]]
        if [id(e) for e in kept] == [id(e) for e in self._examples]:
            return
        self._examples = kept
        if not kept:  # all was taken back
            self._fits.clear()
            self._own = None
            return
        if self._executor is not None:
            self._fits.append(self._executor.submit(self._fit, kept))
            return
        now: Future[FittedVoice] = Future()
        try:
            now.set_result(self._fit(kept))
        except (ModelError, ValueError) as error:
            now.set_exception(error)
        self._fits.append(now)

    def _fit(self, examples: Sequence[Example]) -> FittedVoice:
        for seed, example in enumerate(examples):
            if id(example) not in self._heard:
                heard = hear_example(self._network, example, seed)
                self._heard[id(example)] = example, heard
        every = [self._heard[id(example)][1] for example in examples]
        return fit_heard(self._network, every, rounds=_ROUNDS)

    def _take_up(self) -> None:
        """Use the newest fit that is ready."""
        while self._fits and self._fits[0].done():
            fit = self._fits.pop(0)
            try:
                voice = fit.result()
            except (ModelError, ValueError) as error:
                _LOG.warning("the voice is heard as a stranger's: %s", error)
                continue
            if self._own is not None:
                match = self._own.match.carried_to(voice)
            else:
                same = load_calibration(_SAME_VOICE)
                match = VoiceMatch(self._network, voice, same)
            self._own = OwnVoice("", voice, self._network, match=match)


class Acquaintance:
    """A recogniser that gets used to whoever speaks.

    Args:
        recogniser: hears strangers.
        at_once: fit while the caller waits, as simulations do; otherwise beside it.
    """

    def __init__(self, recogniser: PairedRecogniser, *, at_once: bool = False) -> None:
        executor = None if at_once else ThreadPoolExecutor(1, "voice")
        self.voice = GrowingVoice(recogniser.network, executor)
        paired = recogniser.with_profile(self.voice)
        self.recogniser = LearningRecogniser(paired, paired.agreed_on)
        """What hears from now on."""
        self._learner = WalkLearner(
            self.recogniser,
            None,
            lambda: self.voice.in_use,
            lambda: "",  # what is forgotten needs no date
            yes_and_no=True,
        )

    def watch(self, kind: str, data: Mapping[str, Any]) -> None:
        """Take in one happening of the walk."""
        self._learner.watch(kind, data)
        if kind in ("answer", "withdrawn"):
            self.voice.learn(self._learner.examples())
