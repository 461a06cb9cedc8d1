"""Words of the dictionary that lie one phone away from a phrase of ours.

A talker who says one of them must not be taken for an answer, so the network
learns them by the hundred; those that sound exactly like a phrase ("know" for
"no") are left out: no ear can tell them apart.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cache

from voicecheck.bench.phrases import PHRASES, dictionary_words
from voicecheck.errors import GrammarError
from voicecheck.speech.vocabulary.pronunciation import Phones, pronounce

__all__ = ["neighbours", "same_sound"]

SHORTEST = 2
"""Phones; shorter words are letters and interjections."""


@cache
def neighbours(phrases: tuple[str, ...] = PHRASES) -> tuple[str, ...]:
    """List the words one phone replaced, left out or put in from a phrase.

    Args:
        phrases: of which those of one word are looked at.

    Returns:
        Words in alphabetical order, none of which sounds like a phrase.
    """
    ours = {p for phrase in phrases for p in _ways(phrase)}
    single = [p for phrase in phrases if " " not in phrase for p in _ways(phrase)]
    gaps: defaultdict[Phones, set[Phones]] = defaultdict(set)
    for phones in single:
        for key in _keys(phones):
            gaps[key].add(phones)
    words_of_ours = {word for phrase in phrases for word in phrase.split()}
    found = []
    for word, phones in dictionary_words():
        if word in words_of_ours or len(phones) < SHORTEST or phones in ours:
            continue
        if any(_one_apart(phones, p) for key in _keys(phones) for p in gaps[key]):
            found.append(word)
    return tuple(sorted(set(found)))


def same_sound(text: str, phrases: Iterable[str]) -> bool:
    """Tell whether a text may be spoken exactly as one of the phrases may.

    A text with a word that is in no dictionary is taken to sound different.
    """
    return any(spoken in _sounds(tuple(phrases)) for spoken in _ways(text))


@cache
def _sounds(phrases: tuple[str, ...]) -> frozenset[Phones]:
    return frozenset(phones for phrase in phrases for phones in _ways(phrase))


@cache
def _ways(text: str) -> tuple[Phones, ...]:
    try:
        return pronounce(text)
    except GrammarError:
        return ()


def _keys(phones: Phones) -> Iterator[Phones]:
    """Yield the word itself and all that is left when one phone is taken out."""
    yield phones
    for place in range(len(phones)):
        yield phones[:place] + phones[place + 1 :]


def _one_apart(one: Phones, other: Phones) -> bool:
    """Tell whether one phone replaced, left out or put in makes them equal."""
    if abs(len(one) - len(other)) > 1 or one == other:
        return False
    start = 0
    while start < min(len(one), len(other)) and one[start] == other[start]:
        start += 1
    if len(one) == len(other):
        return one[start + 1 :] == other[start + 1 :]
    longer, shorter = (one, other) if len(one) > len(other) else (other, one)
    return longer[start + 1 :] == shorter[start:]
