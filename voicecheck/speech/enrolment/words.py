"""Which words are said to enrol: those that matter most, or all of them."""

from __future__ import annotations

from enum import StrEnum

from voicecheck.errors import UsageError
from voicecheck.speech.grammar import files
from voicecheck.speech.grammar.numbers import digit_words

__all__ = ["WordList", "known_phrases", "phrase_of_folder", "words_to_say"]

ENROLLED_LANGUAGES = ("en",)
"""Languages that the network, and so enrolment, is for."""

QUICK = (
    "good",
    "all in order",
    "defect",
    "leak",
    "not fitted",
    "cannot check",
    "yes",
    "no",
)
"""Three times each in a minute: how a part is, yes and no. Measured at 0 dB and better
on diphone voices that the network had not heard (18 settings, each enrolled from the
others of its speaker; three tries): of 154 series of a yes 59 % were understood by a
stranger's answer, 77 % with these words, 82 % with `SHORT`; of 189 of a condition 41,
71 and 67 % were taken at once, and 2, 0.5 and 0 % wrongly."""
SHORT = (
    *QUICK,
    "affirm",
    "negative",
    "minor",
    "major",
    "critical",
    "one",
    "two",
    "three",
    "full",
    "low",
    "empty",
    "go back",
    "repeat",
)
"""Three times each in about two minutes: answers first, then what corrects them."""

_QUESTIONS = (
    "condition",
    "start_check",
    "yes_no",
    "severity",
    "leak_class",
    "level",
    "controls",
)


class WordList(StrEnum):
    """How much is said."""

    QUICK = "quick"
    SHORT = "short"
    FULL = "full"


def words_to_say(language: str, choice: WordList) -> tuple[str, ...]:
    """Return the phrases to enrol, in the order in which they are said.

    Raises:
        UsageError: the language has no network to enrol with.
    """
    _check(language)
    known = known_phrases(language)
    if choice is not WordList.FULL:
        wanted = QUICK if choice is WordList.QUICK else SHORT
        return tuple(phrase for phrase in wanted if phrase in known)
    short = words_to_say(language, WordList.SHORT)
    every = [p.text for q in _QUESTIONS for p in files.load(q, language).phrases]
    every += digit_words(language).digits
    return tuple(dict.fromkeys((*short, *every)))


def known_phrases(language: str) -> frozenset[str]:
    """Return everything that some question takes, digits included.

    Raises:
        UsageError: the language has no network to enrol with.
    """
    _check(language)
    phrases = {
        phrase.text
        for question in files.question_names(language)
        for phrase in files.load(question, language).phrases
    }
    words = digit_words(language)
    return frozenset(phrases | set(words.digits) | set(words.marks))


def phrase_of_folder(name: str) -> str:
    """Return the phrase that a folder is called after: not-fitted, "not fitted"."""
    return " ".join(name.replace("-", " ").split()).lower()


def _check(language: str) -> None:
    if language not in ENROLLED_LANGUAGES:
        raise UsageError(
            f"a voice can be enrolled in {', '.join(ENROLLED_LANGUAGES)} only, not "
            f"{language!r}: its recogniser has no place for a voice yet"
        )
