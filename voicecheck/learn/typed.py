"""Practice with a keyboard: what a line means, and a session line by line."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from voicecheck.learn.events import LearnEvent
from voicecheck.learn.sessions.ports import (
    Choice,
    Feedback,
    Listening,
    Question,
    Session,
)
from voicecheck.learn.sessions.texts import Texts

__all__ = ["Ending", "Several", "run_typed", "understood"]

_WORD = re.compile(r"[\w']+")
_MOST_SHOWN = 6


class Ending(StrEnum):
    """How a sitting at the keyboard ended."""

    FINISHED = "finished"
    STOPPED = "stopped"
    """The learner said so; it is judged as far as it went."""
    LEFT = "left"
    """The input ended; what can be taken up later can be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Several:
    """A line that may mean more than one thing."""

    choices: tuple[Choice, ...]


def understood(question: Question, line: str) -> Choice | Several | None:
    """Return what a typed line means.

    A number counts from 1 through the choices that are shown. Words may be
    shortened as long as only one choice begins like that, or holds them all.
    Nothing typed means nothing.

    Args:
        question: what was asked; choices of places are not shown, so that they
            have no numbers.
        line: as typed.
    """
    typed = " ".join(_WORD.findall(line.lower()))
    if not typed:
        return None
    choices = question.choices
    places = question.listening is Listening.PLACE
    if typed.isdigit() and not places:
        at = int(typed) - 1
        return choices[at] if 0 <= at < len(choices) else None
    for finds in (_same, _begins, _holds):
        found = tuple(c for c in choices if finds(c, typed))
        if len(found) == 1:
            return found[0]
        if found:
            return Several(choices=found)
    return None


def _plain(text: str) -> str:
    return " ".join(_WORD.findall(text.lower()))


def _same(choice: Choice, typed: str) -> bool:
    return typed in (_plain(choice.words), _plain(choice.value))


def _begins(choice: Choice, typed: str) -> bool:
    return _plain(choice.words).startswith(typed)


def _holds(choice: Choice, typed: str) -> bool:
    words = _plain(choice.words).split()
    return all(any(word.startswith(part) for word in words) for part in typed.split())


def run_typed(
    session: Session,
    *,
    language: str,
    keep: Callable[[tuple[LearnEvent, ...]], object],
    read: Callable[[], str | None],
    say: Callable[[str], object],
) -> Ending:
    """Ask until the session is finished or left; keep everything at once.

    Args:
        session: any session of practice.
        language: of the texts.
        keep: appends events, before anything is said of them.
        read: returns one line, or None when there are no more.
        say: shows one line.
    """
    texts = Texts("typed", language)
    say(texts.say("how"))
    while not session.finished:
        question = session.ask()
        say(f"\n{question.text}")
        _show_choices(question, say)
        line = read()
        if line is None:
            say(texts.say("left"))
            return Ending.LEFT
        word = line.strip().lower()
        if word in (texts.say("stop"), "stop"):
            _tell(session.ending(), keep, say)
            return Ending.STOPPED
        if word in ("?", texts.say("hint")):
            _tell(session.hint(), keep, say)
            continue
        found = understood(question, line)
        if isinstance(found, Choice):
            _tell(session.answer(found.value), keep, say)
        elif found is None:
            say(texts.say("unknown"))
        else:
            shown = ", ".join(c.words for c in found.choices[:_MOST_SHOWN])
            say(texts.say("several", choices=shown))
    _tell(session.ending(), keep, say)
    return Ending.FINISHED


def _show_choices(question: Question, say: Callable[[str], object]) -> None:
    """Number the choices; places are to be remembered, not read."""
    if question.listening is Listening.PLACE:
        return
    numbered = (f"{n} {c.words}" for n, c in enumerate(question.choices, start=1))
    say("  " + "   ".join(numbered))


def _tell(
    feedback: Feedback,
    keep: Callable[[tuple[LearnEvent, ...]], object],
    say: Callable[[str], object],
) -> None:
    if feedback.events:
        keep(feedback.events)
    for text in (feedback.text, feedback.caution):
        if text:
            say(text)
    for line in feedback.source.splitlines():
        say(f"  {line}")
