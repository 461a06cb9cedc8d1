"""The simulated learner: practises aloud and corrects what was misheard.

What it wants to answer is given; what it says reaches the program as sound only.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from voicecheck.demo.operator import SayAloud
from voicecheck.learn.sessions.ports import Session
from voicecheck.learn.spoken.listening import STEERS, listen_to
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.speech.grammar.active import meanings_by_phrase

__all__ = ["SILENT", "SimulatedLearner"]

SILENT = ""
"""Wanted, when the learner says nothing this time."""

Wants = Callable[[Session], str]
"""What the learner wants to answer now: a value of a choice, a word that steers
such as "hint" or "stop", or SILENT."""
_AFTER_S = 0.5
"""From the tone to the answer."""
_TAKE_BACK = "back"


class SimulatedLearner:
    """Answers one session.

    Args:
        session: returns the session as it stands.
        names: how the places may be called.
        wants: decides.
        say: speaks.
        language: of the answers.
    """

    def __init__(
        self,
        session: Callable[[], Session],
        names: PlaceNames,
        wants: Wants,
        say: SayAloud,
        language: str,
    ) -> None:
        self._session = session
        self._names = names
        self._wants = wants
        self._say = say
        self._language = language
        self._meant = SILENT
        self._read_back: str | None = None
        self._wrong = False
        self._tries = 0
        self.said: list[str] = []
        self.misheard = 0
        """Times that something else was taken than what was said."""

    def watch(self, kind: str, data: Mapping[str, Any]) -> None:
        """Take in what the program does; answer when it listens."""
        match kind:
            case "asked":
                self._read_back = None
                self._tries = 0
            case "readback":
                self._read_back = data["value"]["value"]
                self._tries = 0
            case "taken":
                taken = data["value"].removeprefix(STEERS)
                self._wrong = taken not in (self._meant, _TAKE_BACK)
                self.misheard += self._wrong
            case "listening":
                self._answer(data["question"])

    def _answer(self, question: str) -> None:
        self._tries += 1
        phrase = self._phrase(question)
        if phrase:
            self.said.append(phrase)
            self._say(phrase, _AFTER_S, self._tries)

    def _phrase(self, question: str) -> str:
        if question == "paused":
            return self._word("paused", "carry_on")
        if self._read_back is not None:
            right = self._read_back == self._meant
            return self._word("yes_no", "yes" if right else "no")
        session = self._session()
        self._meant = _TAKE_BACK if self._wrong else self._wants(session)
        if self._meant == SILENT:
            return ""
        self._meant = self._meant.removeprefix(STEERS)
        active = listen_to(session.ask(), self._language, self._names)
        phrases = [p.text for p in active.phrases if p.meaning == self._meant]
        return phrases[(self._tries - 1) // 2 % len(phrases)]

    def _word(self, question: str, meaning: str) -> str:
        listed = meanings_by_phrase(question, self._language)
        return next(text for text, means in listed.items() if means == meaning)
