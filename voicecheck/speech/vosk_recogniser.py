"""Recognise with a Vosk model and a graph built from what may be said now.

Vosk turns the phrases into a bigram, so that it may answer with a mixture of
them: every answer is parsed again, and what is no phrase counts for nothing.
Its confidence is 1.0 for wrong words too. Ours comes from votes and likelihoods:
whether the same is heard when the sound is presented a little differently and
with its noise suppressed, how far the best phrase is ahead of the next, and how
far of a loop of short words that stands for any speech. A logistic map, fitted
on spoken test phrases, makes a probability of these.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.audio.mixing import active_mask
from voicecheck.audio.suppression import suppress
from voicecheck.errors import GrammarError
from voicecheck.speech.calibration import Calibration, load_calibration
from voicecheck.speech.grammar.compile import vosk_phrases
from voicecheck.speech.grammar.numbers import parse_number
from voicecheck.speech.models import ModelInfo
from voicecheck.speech.ports import ActiveSet, Hypothesis
from voicecheck.speech.vosk_decoder import VoskDecoder
from voicecheck.speech.vosk_takes import TAKES, filler_words

_APART = 3_000
"""How far phrases are kept apart in one graph, see `VoskDecoder.decode`."""
_APART_DIGITS = 300
"""The same where digits follow each other."""
_APART_FORCED = 100
"""The same where a graph holds one phrase: enough to keep it from repeating,
too little for silence to win."""
_UNKNOWN = "[unk]"
_NOTHING = -1_000.0
"""Log likelihood of words that fit no path."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What the decodes say about one utterance; the features of the map."""

    best: Hypothesis | None = None
    """Without a confidence as yet; None: nothing of the set was heard."""
    other: Hypothesis | None = None
    """The best of the other meanings."""
    features: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Likelihoods:
    """Log likelihoods of one sound, in nats."""

    best: float
    other: float
    loop: float
    """Of any speech at all."""

    def features(self, frames: Frames) -> dict[str, float]:
        """Return what they say, whole and for each second of speech."""
        spoken_s = max(0.1, float(np.sum(active_mask(frames, 25.0))) / 50)
        ahead = self.best - self.loop
        return {
            "score": _bounded(self.best / spoken_s, -50.0, 150.0),
            "margin": _bounded(self.best - self.other, -10.0, 20.0),
            "loop": _bounded(ahead, -30.0, 20.0),
            "loop_rate": _bounded(ahead / spoken_s, -50.0, 40.0),
            "seconds": spoken_s,
        }


class VoskRecogniser:
    """Recognise phrases of one language with one model.

    Raises:
        ModelError: the model or the library cannot be loaded.
    """

    name = "vosk"

    def __init__(
        self, model: ModelInfo, calibration: Calibration | None = None
    ) -> None:
        self.language = model.language
        self._model = model
        self._calibration = calibration or load_calibration("vosk")
        self._checked: set[ActiveSet] = set()

    @cached_property
    def _decoder(self) -> VoskDecoder:
        return VoskDecoder(self._model.path)

    @cached_property
    def _fillers(self) -> tuple[str, ...]:
        """Short words that the model knows: a loop over them stands for any speech."""
        words = filler_words(self.language)
        return tuple(word for word in words if self.knows(word))

    @cached_property
    def _garbage(self) -> tuple[str, ...]:
        """The model's own word for words outside the grammar; not all have it."""
        return (_UNKNOWN,) if self.knows(_UNKNOWN) else ()

    def knows(self, word: str) -> bool:
        """Tell whether a word is in the model's vocabulary."""
        return self._decoder.knows(word)

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Return what may have been said; see `Recogniser`.

        Raises:
            GrammarError: the model does not know a word of the set.
        """
        evidence = self.evidence(utterance, active)
        if evidence.best is None:
            return ()
        confidence = self._calibration.probability(evidence.features)
        best = replace(evidence.best, confidence=confidence)
        if evidence.other is None:
            return (best,)
        left = (1.0 - confidence) * self._calibration.other_share
        return (best, replace(evidence.other, confidence=left))

    def evidence(self, utterance: Frames, active: ActiveSet) -> Evidence:
        """Decode an utterance in every way and gather the scores."""
        self._check(active)
        if not np.any(utterance):
            return Evidence()
        heard = [self._heard(take.of(utterance), active) for take in TAKES]
        votes = Counter(h.meaning for h in heard if h is not None)
        if not votes:
            return Evidence()
        frames = TAKES[0].of(utterance)
        scores = {h: self._forced(frames, h) for h in set(heard) if h is not None}
        best = max(scores, key=lambda h: (votes[h.meaning], scores[h], h.phrase))
        rest = [h for h in scores if h.meaning != best.meaning]
        other = (
            max(rest, key=lambda h: (votes[h.meaning], scores[h], h.phrase))
            if rest
            else self._heard(frames, _without(active, best))
        )
        clean = self._heard(TAKES[0].of(suppress(utterance)), active)
        likelihoods = Likelihoods(
            best=scores[best],
            other=self._forced(frames, other),
            loop=max(_NOTHING, self._decoder.decode(frames, self._fillers)[1]),
        )
        features = {
            "votes": votes[best.meaning] / len(TAKES),
            "silent": heard.count(None) / len(TAKES),
            "agree": 1.0 if clean and clean.meaning == best.meaning else 0.0,
            **likelihoods.features(frames),
            "letters": float(len(best.phrase.replace(" ", ""))),
        }
        return Evidence(best=best, other=other, features=features)

    def _heard(self, frames: Frames, active: ActiveSet) -> Hypothesis | None:
        """Return the likeliest phrase or number, None when it is neither."""
        phrases = vosk_phrases(active)
        if not phrases:
            return None
        apart = _APART_DIGITS if active.numbers else _APART
        words, _ = self._decoder.decode(frames, (*phrases, *self._garbage), apart)
        return _hypothesis(words, active)

    def _forced(self, frames: Frames, said: Hypothesis | None) -> float:
        """Return how likely it is that exactly these words were said."""
        if said is None:
            return _NOTHING
        words, score = self._decoder.decode(frames, (said.phrase,), _APART_FORCED)
        return score if words == said.phrase else _NOTHING

    def _check(self, active: ActiveSet) -> None:
        if active in self._checked:
            return
        unknown = sorted(
            {
                word
                for phrase in vosk_phrases(active)
                for word in phrase.split()
                if not self.knows(word)
            }
        )
        if unknown:
            raise GrammarError(
                f"question {active.question}: the model {self._model.name} does not "
                f"know {', '.join(unknown)}; choose other words, or spell them as "
                "the model does"
            )
        self._checked.add(active)


def _without(active: ActiveSet, said: Hypothesis) -> ActiveSet:
    """Return the set less all phrases of a meaning; a number takes all digits out."""
    phrases = tuple(p for p in active.phrases if p.meaning != said.meaning)
    is_number = active.phrase(said.phrase) is None
    return replace(active, phrases=phrases, numbers=active.numbers and not is_number)


def _hypothesis(words: str, active: ActiveSet) -> Hypothesis | None:
    """Parse what the library heard; None: a mixture, or nothing."""
    phrase = active.phrase(words)
    if phrase is not None:
        return Hypothesis(
            phrase=words,
            meaning=phrase.meaning,
            confidence=0.0,
            control=phrase.control,
        )
    value = parse_number(words, active.language) if active.numbers else None
    if value is None:
        return None
    return Hypothesis(phrase=words, meaning=str(value), confidence=0.0)


def _bounded(value: float, low: float, high: float) -> float:
    """Keep a decode that found nothing from outweighing everything else."""
    return max(low, min(high, value))
