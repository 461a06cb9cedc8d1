"""Which phrases of a question lie close together, and what could replace them."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass

from voicecheck.speech.grammar.active import meanings_by_phrase
from voicecheck.speech.vocabulary.distance import separation
from voicecheck.speech.vocabulary.meanings import Risk, risk_of

__all__ = ["MINIMUM_SEPARATION", "NEAR", "Pair", "Survey", "survey"]

MINIMUM_SEPARATION = 0.35
"""Phrases of dangerously different meaning must lie at least this far apart.

Of the pairs within the Modified Rhyme Test's sets, words of one syllable that
differ in one consonant, 94 % lie closer. Source of the sets: House, Williams,
Hecker and Kryter 1965, JASA 37:158; from memory. People with normal hearing get
80 % of that test right around 0 dB (Brungart, Makashay and Sheffield 2021,
JASA): no word that stops a machine may be mistaken like that.
"""

NEAR = 0.45
"""Pairs closer than this are listed (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two phrases of one question that mean different things."""

    one: str
    other: str
    one_means: str
    other_means: str
    separation: float
    """Share of what is spoken that differs, 0 … 1."""
    risk: Risk
    replacements: tuple[str, ...] = ()
    """What would help, in words."""

    def is_refused(self, minimum: float = MINIMUM_SEPARATION) -> bool:
        """Tell whether it must not be in a grammar: dangerous, and too close."""
        return self.risk is Risk.DANGEROUS and self.separation < minimum


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """The close pairs of one question, the closest first."""

    question: str
    pairs: tuple[Pair, ...]
    phrases: int
    """How many phrases were compared."""
    closest: Pair | None
    """The closest of all pairs of different meaning; None where all mean one."""


def survey(
    question: str,
    language: str = "en",
    *,
    near: float = NEAR,
    meanings: Mapping[str, str] | None = None,
) -> Survey:
    """Compare all phrases that may be said at a question.

    Args:
        question: name of a grammar file.
        language: language of the grammar.
        near: pairs below this separation are listed.
        meanings: phrase → meaning, instead of the grammar's; digits count as
            phrases.

    Raises:
        GrammarError: there is no such question, or a word is in no dictionary.
        ModelError: the dictionary is missing.
    """
    listed = dict(meanings or meanings_by_phrase(question, language))
    pairs = [
        Pair(
            one=one,
            other=other,
            one_means=listed[one],
            other_means=listed[other],
            separation=separation(one, other, language),
            risk=risk,
        )
        for one, other in itertools.combinations(listed, 2)
        if (risk := risk_of(listed[one], listed[other])) is not None
    ]
    pairs.sort(key=lambda pair: (pair.separation, pair.one, pair.other))
    return Survey(
        question=question,
        pairs=tuple(
            _with_replacements(pair, listed, language)
            for pair in pairs
            if pair.separation < near
        ),
        phrases=len(listed),
        closest=pairs[0] if pairs else None,
    )


def _with_replacements(pair: Pair, listed: Mapping[str, str], language: str) -> Pair:
    """Look among the listed phrases of the same meaning for ones farther apart."""
    ideas = [
        *_ideas(pair.one, pair, listed, language),
        *_ideas(pair.other, pair, listed, language),
    ]
    return Pair(
        one=pair.one,
        other=pair.other,
        one_means=pair.one_means,
        other_means=pair.other_means,
        separation=pair.separation,
        risk=pair.risk,
        replacements=tuple(ideas),
    )


def _ideas(
    phrase: str, pair: Pair, listed: Mapping[str, str], language: str
) -> list[str]:
    partner = pair.other if phrase == pair.one else pair.one
    synonyms = [
        (separation(other, partner, language), other)
        for other, meaning in listed.items()
        if meaning == listed[phrase] and other != phrase
    ]
    return [
        f"say {other!r} and drop {phrase!r}: then {apart:.2f}"
        for apart, other in sorted(synonyms, reverse=True)
        if apart > pair.separation
    ]
