"""How a zone or a point may be called, taken from its title.

A checkpoint has no title but a short question: "Left front rim and flange?".
Who says the walk from memory says "rim", "left front rim", or the whole of it.
So a title has several forms: whole, without what follows a comma, either half
of an "and", and each without the words that name the zone it lies in.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

__all__ = ["MOST_WORDS", "forms", "title"]

MOST_WORDS = 6
"""Longer forms are hardly said in one breath (our choice)."""

_END = re.compile(r"[?.!\s]+$")
_LEADING = {
    "en": frozenset(
        {"a", "an", "and", "are", "in", "is", "it", "its", "of", "on", "the", "this"}
        | {"their", "your"}
    ),
    "ko": frozenset[str](),
}
_AND = {"en": re.compile(r"\s+and\s+"), "ko": re.compile(r"(?:와|과|하고)\s+")}


def title(prompt: str) -> str:
    """Return a question as a title: "Horn?" is "Horn"."""
    return _END.sub("", prompt)


def forms(text: str, language: str, zone: str = "") -> tuple[str, ...]:
    """Return the ways to call a place, the fullest first.

    Args:
        text: the title of a zone or the prompt of a checkpoint.
        language: of the text; other than en and ko: the whole and its parts
            between commas.
        zone: the title of the zone that the place lies in; its words may be
            left out.
    """
    around = tuple(_words(zone))
    found: dict[str, None] = {}
    for words in _parts(title(text), language):
        for form in (words, *_without_zone(words, around)):
            plain = _plain(form, language)
            if plain and len(plain) <= MOST_WORDS:
                found.setdefault(" ".join(plain))
    return tuple(found)


def _parts(text: str, language: str) -> Iterator[list[str]]:
    """The whole, what stands before the first comma, and the halves of an "and"."""
    pieces = [piece.strip() for piece in text.split(",")]
    yield _plain(_words(" ".join(pieces)), language)
    yield _plain(_words(pieces[0]), language)
    joint = _AND.get(language)
    halves = joint.split(pieces[0]) if joint else []
    if len(halves) > 1:
        yield from (_plain(_words(half), language) for half in halves)


def _words(text: str) -> list[str]:
    return re.findall(r"[\w']+", text.lower())


def _plain(words: list[str], language: str) -> list[str]:
    """Leave out what begins a title and says nothing: "is the", "its"."""
    leading = _LEADING.get(language, frozenset())
    while words and words[0] in leading:
        words = words[1:]
    return words


def _without_zone(words: list[str], around: tuple[str, ...]) -> Iterator[list[str]]:
    """Leave out leading words that the zone says already.

    In the zone "left front wheel", "left front wheel nuts" are "wheel nuts" and
    "nuts".
    """
    while len(words) > 1 and words[0] in around:
        if words[0] == around[-1]:
            yield words
        words = words[1:]
    yield words
