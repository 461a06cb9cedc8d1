"""Put together what may be said at one moment."""

from __future__ import annotations

from collections.abc import Iterable

from voicecheck.speech.grammar import files
from voicecheck.speech.grammar.numbers import digit_words
from voicecheck.speech.ports import ActiveSet, Phrase

_CONTROLS = {
    "paused": (),
    "climb": ("repeat", "help", "back", "pause", "stop"),
    "yes_no": ("repeat", "help", "back"),
}
"""Controls that a question takes; every other question takes them all."""


def active_set(
    question: str, language: str, meanings: Iterable[str] | None = None
) -> ActiveSet:
    """Return what may be said at a question.

    Args:
        question: name of a grammar file.
        language: for example "en".
        meanings: keep only phrases of these meanings; None keeps all. Controls
            are always kept.

    Raises:
        GrammarError: there is no such question, or nothing is left to say.
    """
    grammar = files.load(question, language)
    wanted = None if meanings is None else frozenset(meanings)
    own = tuple(p for p in grammar.phrases if wanted is None or p.meaning in wanted)
    controls = () if question == files.CONTROLS else _controls(question, language)
    return ActiveSet(
        question=question,
        language=language,
        phrases=_without_doubles((*own, *controls)),
        numbers=grammar.numbers and (wanted is None or files.NUMBER_TAG in wanted),
    )


def meanings_by_phrase(question: str, language: str) -> dict[str, str]:
    """Return phrase → meaning of one question, digits included."""
    active = active_set(question, language)
    listed = {phrase.text: phrase.meaning for phrase in active.phrases}
    if active.numbers:
        words = digit_words(language)
        listed.update(words.digits)
        listed.update(dict.fromkeys(words.marks, "."))
    return listed


def _controls(question: str, language: str) -> tuple[Phrase, ...]:
    phrases = files.load(files.CONTROLS, language).phrases
    kept = _CONTROLS.get(question)
    if kept is None:
        return phrases
    return tuple(phrase for phrase in phrases if phrase.meaning in kept)


def _without_doubles(phrases: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """The question's own phrase wins over a control of the same text."""
    kept: dict[str, Phrase] = {}
    for phrase in phrases:
        kept.setdefault(phrase.text, phrase)
    return tuple(kept.values())
