"""The one form of every session of practice.

    while not session.finished:
        question = session.ask()
        ...                                # said, printed, or shown on a page
        feedback = session.answer(value)   # a value of one of question.choices
        ...                                # append feedback.events at once

A session has no clock, no sound and no store. `ask` may be called as often as
one likes: only `answer` and `hint` move it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from voicecheck.learn.events import LearnEvent, Mode


class Listening(StrEnum):
    """Which kind of answer a question takes: the spoken side picks the grammar."""

    CONDITION = "condition"
    """good, defect, leak, could_not_check"""
    SEVERITY = "severity"
    """minor, major, critical"""
    LEAK_CLASS = "leak_class"
    """I, II, III"""
    LEVEL = "level"
    """full, between, low, empty"""
    YES_NO = "yes_no"
    """yes, no"""
    PLACE = "place"
    """Id of a zone or a checkpoint; the choices carry the titles."""
    CONTROL = "control"
    """Words that steer a guided walk: the choices carry them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One thing that may be answered."""

    value: str
    """As `answer` takes it: the meaning in the grammar, or an id."""
    words: str
    """As it is shown and said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked now."""

    text: str
    """To be said or shown. A new situation stands before its first question."""
    listening: Listening
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Feedback:
    """What an answer or a hint brought."""

    text: str
    """To be said or shown; empty where nothing has to be said."""
    right: bool | None = None
    """None: not judged (a hint, or one part of a call that is not complete)."""
    caution: str = ""
    """How the thing itself can hurt; said after the text."""
    source: str = ""
    """Where the rule comes from: law, standard, or that there is none. Shown, not
    said: it is full of paragraph numbers."""
    events: tuple[LearnEvent, ...] = ()
    """To be appended before anything else happens."""


class Session(Protocol):
    """What typed, spoken and page know of a session."""

    @property
    def mode(self) -> Mode:
        """Which kind of practice it is."""
        ...

    @property
    def finished(self) -> bool:
        """Tell whether nothing is left to ask."""
        ...

    def ask(self) -> Question:
        """Return the question that is open.

        Raises:
            LearnError: the session is finished.
        """
        ...

    def answer(self, value: str) -> Feedback:
        """Take one answer.

        Raises:
            LearnError: the value is none of the choices, or nothing is asked.
        """
        ...

    def hint(self) -> Feedback:
        """Help with the open question; what was hinted counts as recalled hard."""
        ...

    def ending(self) -> Feedback:
        """What there is to say at the end, finished or broken off; with it come
        the events of the whole (such as the order compared)."""
        ...
