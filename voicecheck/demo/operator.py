"""The simulated operator: looks, answers aloud, listens to the read-back.

It knows what the machine looks like and what the program says; what it says
reaches the program as sound only. It answers as an attentive person would:
repeats when not understood, says no to a wrong read-back, takes back a wrong
"good" with one word, and says what it is told is heard better.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Mapping
from typing import Any

from voicecheck.round.answers import Answer, CouldNotCheck, Reason
from voicecheck.round.checklist import Checklist
from voicecheck.round.probing import QuestionName, to_parts
from voicecheck.round.record import answer_data
from voicecheck.round.spelling import FINISHED, POINT
from voicecheck.speech.grammar.active import meanings_by_phrase
from voicecheck.speech.grammar.files import load
from voicecheck.speech.grammar.numbers import say_number

SayAloud = Callable[[str, float, int], None]
"""Say a phrase, after so many seconds, at the n-th try."""

_PATIENCE = 24
"""Times that a number or its digits are said before the operator gives it up."""
_PATIENCE_WITH_WORDS = 12
_TIRING = (
    QuestionName.CONDITION,
    QuestionName.LEVEL,
    QuestionName.NUMBER,
    QuestionName.DIGIT,
)
"""Questions that take "cannot check"."""


class SimulatedOperator:
    """Answers one walk.

    Args:
        checklist: the walk.
        meant: what there is to see.
        say: speaks.
        language: of the answers.
        rng: for the choice of words and the time to look.
    """

    def __init__(
        self,
        checklist: Checklist,
        meant: Mapping[str, Answer],
        say: SayAloud,
        language: str,
        rng: random.Random,
    ) -> None:
        self._checklist = checklist
        self._meant = meant
        self._say = say
        self._language = language
        self._rng = rng
        self._readback: dict[str, Any] | None = None
        self._wrong = False
        self._taking_back = False
        self._spelled = ""
        self._given_up: dict[str, Answer] = {}
        self._tries_at: Counter[str] = Counter()
        self._better: dict[str, str] = {}
        self._asked = ("", "")
        self._tries = 0
        self.said: list[str] = []

    def watch(self, kind: str, data: Mapping[str, Any]) -> None:
        """Take in what the program does; answer when it listens."""
        match kind:
            case "prompt" if "spelled" in (data.get("value") or {}):
                self._spelled = data["value"]["spelled"]
            case "readback":
                self._readback = dict(data)
            case "answer":
                self._wrong = not self._is_meant(data["checkpoint"], data["value"])
            case "withdrawn":
                self._wrong = False
            case "decision":
                self._readback = None
            case "heard_better":
                self._better[data["meaning"]] = data["phrase"]
            case "listening":
                self._answer(data)

    def _answer(self, data: Mapping[str, Any]) -> None:
        question, checkpoint = data["question"], data["checkpoint"] or ""
        if (question, checkpoint) != self._asked:
            self._asked = (question, checkpoint)
            self._tries = 0
        self._tries += 1
        if question != QuestionName.YES_NO:
            self._taking_back = False
        phrase = self._phrase(QuestionName(question), checkpoint)
        self.said.append(phrase)
        self._say(phrase, self._look_s(question, checkpoint), self._tries)

    def _phrase(self, question: QuestionName, checkpoint: str) -> str:
        match question:
            case QuestionName.YES_NO:
                return self._yes_or_no()
            case QuestionName.CLIMB:
                return self._word(question, "done")
            case QuestionName.PAUSED:
                return self._word(question, "carry_on")
        if self._wrong or checkpoint not in self._meant:
            return self._take_back()
        if question in _TIRING:
            self._tire(checkpoint, question)
        point = self._checklist.checkpoint(checkpoint)
        parts = to_parts(point, self._wanted(checkpoint))
        if question is QuestionName.DIGIT:
            return self._digit(parts[QuestionName.NUMBER])
        meaning = parts.get(question)
        if meaning is None:  # not what was meant: take it back
            return self._take_back()
        if question is QuestionName.NUMBER and meaning[0].isdigit():
            answer = self._wanted(checkpoint)
            return say_number(answer.value, self._language)  # type: ignore[union-attr]
        return self._word(question, meaning)

    def _digit(self, number: str) -> str:
        """The next digit; one that was misheard is taken back."""
        if not number[0].isdigit():  # given up
            return self._word(QuestionName.DIGIT, number)
        if not number.startswith(self._spelled):
            return self._take_back()
        left = number[len(self._spelled) :]
        meaning = {"": FINISHED, ".": POINT}.get(left[:1], left[:1])
        return self._word(QuestionName.DIGIT, meaning)

    def _take_back(self) -> str:
        self._taking_back = True
        return self._word(QuestionName.CONDITION, "back", control=True)

    def _yes_or_no(self) -> str:
        readback = self._readback
        if readback is None:  # the declaration
            return self._word(QuestionName.YES_NO, "yes")
        value = readback.get("value") or {}
        if "control" in value:
            right = value["control"] == "back" and self._taking_back
        else:
            right = self._is_meant(readback["checkpoint"] or "", value)
        return self._word(QuestionName.YES_NO, "yes" if right else "no")

    def _is_meant(self, checkpoint: str, value: Mapping[str, Any]) -> bool:
        if checkpoint not in self._meant:
            return False
        return answer_data(self._wanted(checkpoint)) == dict(value)

    def _wanted(self, checkpoint: str) -> Answer:
        return self._given_up.get(checkpoint, self._meant[checkpoint])

    def _tire(self, checkpoint: str, question: QuestionName) -> None:
        """Give up what is not understood, as a person would.

        The record then differs from what was meant, and the demo says so.
        """
        self._tries_at[checkpoint] += 1
        words = question in (QuestionName.CONDITION, QuestionName.LEVEL)
        patience = _PATIENCE_WITH_WORDS if words else _PATIENCE
        if self._tries_at[checkpoint] > patience:
            self._given_up[checkpoint] = CouldNotCheck(reason=Reason.NO_ACCESS)

    def _word(
        self, question: QuestionName, meaning: str, *, control: bool = False
    ) -> str:
        """Choose among the phrases of a meaning: what was told, the usual one first."""
        name = "controls" if control else question.value
        phrases = [
            phrase
            for phrase, what in meanings_by_phrase(name, self._language).items()
            if what == meaning
        ]
        own = [p.text for p in load(name, self._language).phrases]
        phrases = [phrase for phrase in phrases if phrase in own]
        if not control and self._better.get(meaning) in phrases:
            return self._better[meaning]
        return phrases[(self._tries - 1) // 2 % len(phrases)]

    def _look_s(self, question: str, checkpoint: str) -> float:
        """Seconds from the tone to the answer."""
        first = question in {"condition", "level", "number", "start_check"}
        if not first or self._tries > 1:
            return self._rng.uniform(0.35, 0.8)
        point = self._checklist.checkpoint(checkpoint)
        return point.min_look_s + self._rng.uniform(0.3, 1.2)
