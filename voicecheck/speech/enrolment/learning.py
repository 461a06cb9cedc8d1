"""Collect, during a walk, the words that are surely what the operator said.

A word counts when it belongs to an answer that the operator confirmed with
yes after a read-back, or that was accepted, not taken back by the end of the
walk, and heard alike by both decodes of the grammar engine; and only while
the voice is the profile's. Everything else is forgotten.

The yes itself, and a no, can be asked for too; nobody confirms them. Of what was
heard with 0.8 and more by voices that the network had not heard, 382 yeses were right
and 2 were not; of noes that both decodes agree on, 143 and 2.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.speech.enrolment.profile import Example, Source
from voicecheck.speech.ports import ActiveSet, Hypothesis, Recogniser
from voicecheck.speech.wrapped_recogniser import WrappedRecogniser

__all__ = ["LearningRecogniser", "WalkLearner", "trimmed"]

_SURE = 0.95
_SURE_OF_YES_OR_NO = 0.8
_ACCEPTED = ("accept", "confirm")
_TRIM_S = 0.1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Word:
    phrase: str
    meaning: str
    frames: Frames
    confidence: float
    agreed: bool


class LearningRecogniser(WrappedRecogniser):
    """A recogniser that remembers the last utterance it heard.

    Args:
        inner: hears.
        agreed: tells whether both decodes of the last utterance found the
            phrase that is asked about.
    """

    def __init__(self, inner: Recogniser, agreed: Callable[[str], bool]) -> None:
        super().__init__(inner)
        self._agreed = agreed
        self.last: _Word | None = None

    def recognise(self, utterance: Frames, active: ActiveSet) -> tuple[Hypothesis, ...]:
        """Return what may have been said; see `Recogniser`."""
        found = self._inner.recognise(utterance, active)
        self.last = None
        best = found[0] if found else None
        # a number is many words: it would be learned as one
        if best and not best.control and active.phrase(best.phrase) is not None:
            self.last = _Word(
                phrase=best.phrase,
                meaning=best.meaning,
                frames=utterance,
                confidence=best.confidence,
                agreed=self._agreed(best.phrase),
            )
        return found


class WalkLearner:
    """Follow the happenings of a walk and keep the words that count.

    Args:
        recogniser: remembers what it heard last.
        phrases: of the profile; other words are not kept. None: all are.
        trusted: tells whether the voice is the profile's at the moment.
        now_utc: time of the examples.
        yes_and_no: keep the answers to read-backs too.
    """

    def __init__(
        self,
        recogniser: LearningRecogniser,
        phrases: frozenset[str] | None,
        trusted: Callable[[], bool],
        now_utc: Callable[[], str],
        *,
        yes_and_no: bool = False,
    ) -> None:
        self._recogniser = recogniser
        self._phrases = phrases
        self._trusted = trusted
        self._now_utc = now_utc
        self._yes_and_no = yes_and_no
        self._question = ""
        self._parts: dict[str, _Word] = {}
        self._kept: dict[str, list[Example]] = {}
        """By checkpoint: taken back together with its answer."""
        self._agreements: list[Example] = []
        """Yeses and noes."""

    def watch(self, kind: str, data: Mapping[str, Any]) -> None:
        """Take in one happening of the walk."""
        match kind:
            case "listening":
                self._question = data["question"]
            case "heard":
                self._heard(data)
            case "answer":
                self._answered(data)
            case "withdrawn":
                self._kept.pop(data["checkpoint"], None)
                self._parts.clear()
            case "skipped" | "device_lost":
                self._parts.clear()

    def examples(self) -> tuple[Example, ...]:
        """Return all that count, the oldest first; ask at the end of the walk."""
        answers = (e for group in self._kept.values() for e in group)
        return (*answers, *self._agreements)

    def _heard(self, data: Mapping[str, Any]) -> None:
        word = self._recogniser.last
        self._recogniser.last = None
        if self._question == "yes_no":
            taken = data["phrase"] if data["outcome"] == "accept" else None
            if word is not None and word.phrase == taken:
                self._agreed(word)
            if data["phrase"] is not None and (word is None or word.meaning != "yes"):
                self._parts.clear()
            return
        if word is None or data["outcome"] not in _ACCEPTED:
            return
        if word.phrase == data["phrase"] and self._trusted():
            self._parts[self._question] = word

    def _answered(self, data: Mapping[str, Any]) -> None:
        explicit = data["confirmed"] == "explicit"
        values = {str(v) for v in data["value"].values()}
        examples = [
            self._example(word)
            for word in self._parts.values()
            if (self._phrases is None or word.phrase in self._phrases)
            and word.meaning in values
            and (explicit or (word.agreed and word.confidence >= _SURE))
        ]
        self._parts.clear()
        if examples and self._trusted():
            self._kept[data["checkpoint"]] = examples

    def _agreed(self, word: _Word) -> None:
        """Keep a yes that is sure, and a no that both decodes found too."""
        sure = word.confidence >= _SURE_OF_YES_OR_NO
        sure = sure and (word.meaning == "yes" or word.agreed)
        if self._yes_and_no and sure and self._trusted():
            self._agreements.append(self._example(word))

    def _example(self, word: _Word) -> Example:
        return Example(
            phrase=word.phrase,
            frames=trimmed(word.frames),
            source=Source.LEARNED,
            spoken_utc=self._now_utc(),
        )


def trimmed(utterance: Frames) -> Frames:
    """Return an utterance with less of the background that it was cut with."""
    before, after = round(2 * _TRIM_S * RATE_HZ), round(_TRIM_S * RATE_HZ)
    kept = utterance[before : utterance.size - after]
    return kept if kept.size >= _TRIM_S * RATE_HZ else utterance
