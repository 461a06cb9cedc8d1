"""Recognise with a Vosk model and a graph built from what may be said now.

Vosk turns the phrases into a bigram, so that it may answer with a mixture of
them: every answer is parsed again, and what is no phrase counts for nothing.
Its confidence is 1.0 for wrong words too. Ours comes from likelihoods: how far
the best phrase is ahead of the next, how far it is behind what the model hears
without being told what to expect, and whether the sound with its noise
suppressed says the same. A logistic map, fitted on spoken test phrases, makes a
probability of these.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cache, cached_property
from importlib import resources

import numpy as np

from voicecheck.audio.frames import Frames
from voicecheck.audio.mixing import active_level_db, active_mask, guard_peak
from voicecheck.audio.suppression import suppress
from voicecheck.errors import GrammarError
from voicecheck.speech.calibration import Calibration, load_calibration
from voicecheck.speech.grammar.compile import vosk_phrases
from voicecheck.speech.grammar.numbers import digit_words, parse_number
from voicecheck.speech.models import ModelInfo
from voicecheck.speech.ports import ActiveSet, Hypothesis
from voicecheck.speech.vosk_decoder import VoskDecoder

_LEVEL_DB = -20.0
"""Active level that the models hear best; 10 dB less loses a third of the words."""
_DITHER_DB = -45.0
"""White noise added so that no digital silence is decoded."""
_MOST_GAIN_DB = 40.0
_APART = 3_000
"""How far phrases are kept apart in one graph, see `VoskDecoder.decode`."""
_APART_FORCED = 100
"""The same where a graph holds one phrase: enough to keep it from repeating,
too little for silence to win."""
_NOTHING = float("-inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What the decodes say about one utterance; the features of the map."""

    words: str
    other: str
    """The best of the rest; may be empty."""
    features: dict[str, float] = field(default_factory=dict)


class VoskRecogniser:
    """Recognise phrases of one language with one model.

    Raises:
        ModelError: the model or the library cannot be loaded.
    """

    name = "vosk"
    hears_early = False
    """Its confidence was fitted on utterances with their whole silence; without
    it, it doubts too much, and its decodes take too long to do one in vain."""

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

    def knows(self, word: str) -> bool:
        """Tell whether a word is in the model's vocabulary."""
        return self._decoder.knows(word)

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Return what may have been said; see `Recogniser`.

        Raises:
            GrammarError: the model does not know a word of the set.
        """
        evidence = self.evidence(utterance, active)
        best = (
            _hypothesis(
                evidence.words, active, self._calibration.probability(evidence.features)
            )
            if evidence.words
            else None
        )
        if best is None:
            return ()
        other = _hypothesis(
            evidence.other,
            active,
            (1.0 - best.confidence) * self._calibration.other_share,
        )
        if other is None or other.meaning == best.meaning:
            return (best,)
        return (best, other)

    def evidence(self, utterance: Frames, active: ActiveSet) -> Evidence:
        """Decode an utterance in every way and gather the scores."""
        self._check(active)
        if not np.any(utterance):
            return Evidence(words="", other="")
        frames = _levelled(utterance)
        first = self._best(frames, active, "")
        if not first:
            return Evidence(words="", other="")
        second = self._best(frames, active, first)
        scores = {words: self._forced(frames, words) for words in (first, second)}
        words, other = first, second
        if scores[second] > scores[first]:
            words, other = second, first
        _, loop = self._decoder.decode(frames, self._fillers)
        loop = loop if math.isfinite(loop) else math.inf  # no proof of speech
        clean = self._best(_levelled(suppress(utterance)), active, "")
        spoken_s = max(0.1, float(np.sum(active_mask(frames, 25.0))) / 50)
        letters = len(words.replace(" ", ""))
        features = {
            "score": _bounded(scores[words] / spoken_s, -50.0, 150.0),
            "margin": _bounded(scores[words] - scores[other], 0.0, 20.0),
            "loop": _bounded(scores[words] - loop, -30.0, 20.0),
            "loop_rate": _bounded((scores[words] - loop) / spoken_s, -50.0, 40.0),
            "agree": 1.0 if clean == words else 0.0,
            "swapped": 0.0 if words == first else 1.0,
            "letters": float(letters),
            "rate": _bounded(letters / spoken_s, 0.0, 20.0),
        }
        return Evidence(words=words, other=other, features=features)

    def _best(self, frames: Frames, active: ActiveSet, without: str) -> str:
        """Return the likeliest phrase or number, or "" when it is neither."""
        phrases = _phrases(active, without)
        if not phrases:
            return ""
        words, _ = self._decoder.decode(frames, phrases, _APART)
        return words if _hypothesis(words, active, 0.0) is not None else ""

    def _forced(self, frames: Frames, words: str) -> float:
        """Return how likely it is that exactly these words were said."""
        if not words:
            return _NOTHING
        heard, score = self._decoder.decode(frames, (words,), _APART_FORCED)
        return score if heard == words else _NOTHING

    def _check(self, active: ActiveSet) -> None:
        if active in self._checked:
            return
        unknown = sorted(
            {
                word
                for phrase in _phrases(active, "")
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


@cache
def filler_words(language: str) -> tuple[str, ...]:
    """Return the short words that stand for any speech of a language.

    Raises:
        GrammarError: the language has none.
    """
    file = resources.files(__package__) / "fillers" / f"{language}.txt"
    try:
        lines = file.read_text(encoding="utf-8").splitlines()
    except FileNotFoundError as error:
        raise GrammarError(
            f"no filler words for {language!r}: add speech/fillers/{language}.txt"
        ) from error
    return tuple(
        word for line in lines if not line.startswith("#") for word in line.split()
    )


def _phrases(active: ActiveSet, without: str) -> list[str]:
    """List what may be said, minus one phrase; a number takes all digits out."""
    left_out = {without}
    if without and active.phrase(without) is None:
        words = digit_words(active.language)
        left_out |= {*words.digits, *words.marks}
    return [text for text in vosk_phrases(active) if text not in left_out]


def _levelled(frames: Frames) -> Frames:
    """Bring the speech to the level that the model hears best, and dither it."""
    level_db = active_level_db(frames)
    if not np.isfinite(level_db):
        level_db = _LEVEL_DB
    gain = np.float32(10 ** (min(_MOST_GAIN_DB, _LEVEL_DB - level_db) / 20))
    rng = np.random.default_rng(0)  # the same sound is always heard alike
    dither = rng.standard_normal(len(frames)).astype(np.float32)
    loud = frames * gain + dither * np.float32(10 ** (_DITHER_DB / 20))
    return guard_peak(loud.astype(np.float32))


def _bounded(value: float, low: float, high: float) -> float:
    """Keep a decode that found nothing from outweighing everything else.

    Where both decodes of a difference found nothing, it says nothing: low.
    """
    return low if math.isnan(value) else max(low, min(high, value))


def _hypothesis(words: str, active: ActiveSet, confidence: float) -> Hypothesis | None:
    phrase = active.phrase(words)
    if phrase is not None:
        return Hypothesis(
            phrase=words,
            meaning=phrase.meaning,
            confidence=confidence,
            control=phrase.control,
        )
    value = parse_number(words, active.language) if active.numbers else None
    if value is None:
        return None
    return Hypothesis(phrase=words, meaning=str(value), confidence=confidence)
