"""Check grammars and checklists against each other and against an engine.

Whatever a checklist asks must be sayable in its language, and whatever may be
said must be a word that the engine knows. Each check takes a checklist and
yields problems, as `voicecheck.checklists.lint` wants its further checks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from enum import StrEnum

from voicecheck.checklists.problems import Problem, error
from voicecheck.errors import GrammarError
from voicecheck.round.answers import Fault, LeakClass, Level, Reason, Severity
from voicecheck.round.checklist import Checklist
from voicecheck.round.probing import QuestionName
from voicecheck.round.spelling import DIGITS, FINISHED, POINT
from voicecheck.speech.grammar.files import languages, load, question_names

Knows = Callable[[str], bool]
"""Tells whether an engine knows a word."""

_CLOSED_SETS: dict[QuestionName, type[StrEnum]] = {
    QuestionName.FAULT: Fault,
    QuestionName.SEVERITY: Severity,
    QuestionName.LEAK_CLASS: LeakClass,
    QuestionName.LEVEL: Level,
    QuestionName.REASON: Reason,
}


def answers_can_be_said(checklist: Checklist) -> Iterator[Problem]:
    """Yield answers and fluids for which the checklist's language has no phrase.

    A language without any grammars is one problem.
    """
    language = checklist.language
    if language not in languages() or not question_names(language):
        yield error(
            f"grammars/{language}",
            f"there are no grammars for {language!r}: nobody can answer in it; "
            "add one .jsgf file for each question",
        )
        return
    for name in QuestionName:
        yield from _missing(name, language, _wanted(name, checklist))


def phrases_are_known(language: str, knows: Knows) -> Callable[..., Iterator[Problem]]:
    """Return a check that every phrase of a language consists of known words.

    Args:
        language: whose grammars are checked; checklists in others pass.
        knows: asks the dictionary of an engine.
    """

    def check(checklist: Checklist) -> Iterator[Problem]:
        if checklist.language != language:
            return
        for name in question_names(language):
            yield from _unknown(name, language, knows)

    return check


def _wanted(name: QuestionName, checklist: Checklist) -> tuple[str, ...]:
    if name is QuestionName.FLUID:
        return tuple(fluid.id for fluid in checklist.fluids)
    if name is QuestionName.DIGIT:
        return (*DIGITS, POINT, FINISHED)
    return tuple(_CLOSED_SETS[name]) if name in _CLOSED_SETS else ()


def _missing(
    name: QuestionName, language: str, wanted: tuple[str, ...]
) -> Iterator[Problem]:
    place = f"grammars/{language}/{name}.jsgf"
    try:
        grammar = load(name, language)
    except GrammarError as problem:
        yield error(place, str(problem))
        return
    sayable = {phrase.meaning for phrase in grammar.phrases}
    for meaning in wanted:
        if meaning not in sayable:
            yield error(
                place,
                f"{meaning} cannot be said: add a phrase with the tag {{{meaning}}}",
            )


def _unknown(name: str, language: str, knows: Knows) -> Iterator[Problem]:
    place = f"grammars/{language}/{name}.jsgf"
    try:
        phrases = load(name, language).phrases
    except GrammarError as problem:
        yield error(place, str(problem))
        return
    for phrase in phrases:
        for word in phrase.text.split():
            if not knows(word):
                yield error(
                    place,
                    f"the word {word!r} of {phrase.text!r} is not in the dictionary: "
                    f"add it with its phones to grammars/{language}/"
                    "pronunciations.dict, or say it otherwise",
                )
