"""Refuse grammars in which dangerous mix-ups sound alike."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from voicecheck.checklists.problems import Problem, error
from voicecheck.errors import GrammarError
from voicecheck.round.checklist import Checklist
from voicecheck.speech.grammar import files
from voicecheck.speech.vocabulary.survey import MINIMUM_SEPARATION, Pair, survey

__all__ = [
    "KEPT",
    "check_language",
    "meanings_sound_apart",
    "refuse",
    "refused_pairs",
]

KEPT: Mapping[frozenset[str], str] = {
    frozenset({"minor", "major"}): (
        "the trade's usual words (common practice, no source); a severity is "
        "recorded only after it was read back"
    ),
}
"""Pairs of the shipped grammars that stay although they lie too close, and why."""


def refused_pairs(
    question: str,
    language: str = "en",
    *,
    minimum: float = MINIMUM_SEPARATION,
    meanings: Mapping[str, str] | None = None,
) -> tuple[Pair, ...]:
    """Return the dangerous pairs of a question that lie too close.

    Args:
        question: name of a grammar file.
        language: language of the grammar.
        minimum: least separation that is allowed.
        meanings: phrase → meaning, instead of the grammar's.

    Raises:
        GrammarError, ModelError: as `voicecheck.speech.vocabulary.survey.survey`.
    """
    found = survey(question, language, near=minimum, meanings=meanings)
    return tuple(pair for pair in found.pairs if pair.is_refused(minimum))


def refuse(
    question: str,
    language: str = "en",
    *,
    minimum: float = MINIMUM_SEPARATION,
    meanings: Mapping[str, str] | None = None,
    kept: Iterable[frozenset[str]] = KEPT,
) -> None:
    """Raise an error that names the pairs that must not be said at one question.

    Args:
        question, language, minimum, meanings: as `refused_pairs`.
        kept: pairs that stay all the same.

    Raises:
        GrammarError: phrases of dangerously different meaning sound alike.
    """
    allowed = frozenset(kept)
    found = [
        pair
        for pair in refused_pairs(
            question, language, minimum=minimum, meanings=meanings
        )
        if frozenset({pair.one, pair.other}) not in allowed
    ]
    if found:
        named = "; ".join(
            f"{pair.one!r} ({pair.one_means}) and {pair.other!r} ({pair.other_means}), "
            f"{pair.separation:.2f} apart"
            for pair in found
        )
        raise GrammarError(
            f"question {question}: {named}: these sound too much alike for what they "
            f"mean; choose other words, at least {minimum:g} apart "
            "(voicecheck vocabulary lists them)"
        )


def check_language(language: str = "en") -> None:
    """Refuse the first grammar of a language that holds such a pair.

    Raises:
        GrammarError: as `refuse`.
    """
    for question in files.question_names(language):
        refuse(question, language)


def meanings_sound_apart(checklist: Checklist) -> Iterator[Problem]:
    """Yield each English grammar whose dangerous meanings sound too much alike.

    Phones are known for English only; checklists in other languages pass.
    """
    if checklist.language != "en":
        return
    for question in files.question_names("en"):
        try:
            refuse(question)
        except GrammarError as problem:
            yield error(f"grammars/en/{question}.jsgf", str(problem))
