"""What may be said at a question of practice, as an active set."""

from __future__ import annotations

from voicecheck.learn.sessions.ports import Listening, Question
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.speech.grammar import files
from voicecheck.speech.grammar.active import active_set
from voicecheck.speech.ports import ActiveSet, Phrase

__all__ = ["PLACE", "STEERS", "carry_on", "listen_to", "place_ids", "yes_or_no"]

PLACE = "place"
"""Name of the question at which zones and points are said."""

STEERS = "/"
"""Values of choices that begin so are words that steer, never places."""

_STEERING = {Listening.PLACE: "recall", Listening.CONTROL: "guide"}
"""The grammar of the words that steer; at every other question "steer"."""


def listen_to(question: Question, language: str, names: PlaceNames) -> ActiveSet:
    """Return what may be said at a question.

    Args:
        question: of a session.
        language: of the learner.
        names: of the places of its checklist.

    Raises:
        GrammarError: there is no grammar in this language, or a place cannot be
            said.
    """
    return ActiveSet(
        question=question.listening.value,
        language=language,
        phrases=_once(
            _own(question, language, names), _steering(question.listening, language)
        ),
    )


def place_ids(question: Question) -> tuple[str, ...]:
    """Return the ids of the places that may be said at a question."""
    values = (choice.value for choice in question.choices)
    return tuple(value for value in values if not value.startswith(STEERS))


def yes_or_no(language: str) -> ActiveSet:
    """Return what may be said when something is read back."""
    phrases = files.load("yes_no", language).phrases
    return ActiveSet(question="yes_no", language=language, phrases=phrases)


def carry_on(language: str) -> ActiveSet:
    """Return what may be said while practice is put aside."""
    stop = tuple(
        phrase
        for phrase in _steering(Listening.CONDITION, language)
        if phrase.meaning == "stop"
    )
    phrases = (*files.load("paused", language).phrases, *stop)
    return ActiveSet(question="paused", language=language, phrases=phrases)


def _own(question: Question, language: str, names: PlaceNames) -> tuple[Phrase, ...]:
    """Return the phrases that answer."""
    if question.listening is Listening.CONTROL:
        return ()
    if question.listening is Listening.PLACE:
        return tuple(
            Phrase(text=text, meaning=place)
            for place, texts in names.phrases(place_ids(question)).items()
            for text in texts
        )
    values = [choice.value for choice in question.choices]
    asked = active_set(question.listening.value, language, values)
    return tuple(phrase for phrase in asked.phrases if not phrase.control)


def _steering(listening: Listening, language: str) -> tuple[Phrase, ...]:
    name = _STEERING.get(listening, "steer")
    return tuple(
        Phrase(text=phrase.text, meaning=phrase.meaning, control=True)
        for phrase in files.load(f"learn/{name}", language).phrases
    )


def _once(own: tuple[Phrase, ...], words: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """Let an answer win over a word that steers, where both sound the same."""
    kept: dict[str, Phrase] = {}
    for phrase in (*own, *words):
        kept.setdefault(phrase.text, phrase)
    return tuple(kept.values())
