"""How phrases are spoken: phones from a pronouncing dictionary.

English words come from the CMU pronouncing dictionary inside the PocketSphinx
wheel, and from `grammars/<language>/pronunciations.dict` for words that it
lacks and for second ways to say them. Stress is not marked there.
"""

from __future__ import annotations

import itertools
import re
from functools import cache
from pathlib import Path
from typing import TypeAlias

from voicecheck.errors import GrammarError, ModelError
from voicecheck.speech.grammar import files

__all__ = ["Phones", "pronounce"]

Phones: TypeAlias = tuple[str, ...]
"""ARPAbet symbols without stress marks."""

MOST_WAYS = 64
"""Ways to say one phrase that are looked at; more are cut off."""


def pronounce(phrase: str, language: str = "en") -> tuple[Phones, ...]:
    """Return every way in which a phrase may be spoken, the usual one first.

    Args:
        phrase: words separated by spaces, in lower case.
        language: only "en" has a dictionary so far.

    Raises:
        GrammarError: the phrase is empty, a word is in no dictionary, or there
            is no dictionary for the language.
        ModelError: PocketSphinx, whose wheel holds the dictionary, is missing.
    """
    words = phrase.split()
    if not words:
        raise GrammarError("an empty phrase has no sound; give at least one word")
    ways = [_word(word, language) for word in words]
    joined = itertools.islice(itertools.product(*ways), MOST_WAYS)
    return tuple(tuple(itertools.chain(*spoken)) for spoken in joined)


@cache
def _word(word: str, language: str) -> tuple[Phones, ...]:
    if language != "en":
        raise GrammarError(
            f"there is no pronouncing dictionary for {language!r}: phrases can be "
            "compared in English (en) only"
        )
    found = [*_in_dictionary(word), *_in_own_list(word, language)]
    if not found:
        raise GrammarError(
            f"the word {word!r} is in no dictionary; add a line with its phones to "
            "pronunciations.dict"
        )
    return tuple(dict.fromkeys(found))


def _in_dictionary(word: str) -> list[Phones]:
    """Find "word PHONES", then "word(2) PHONES" and so on."""
    text = _dictionary()
    found: list[Phones] = []
    for entry in itertools.chain([word], (f"{word}({n})" for n in itertools.count(2))):
        # plain search: fifty times faster than a pattern over 134 000 lines
        at = text.find(f"\n{entry} ")
        if at < 0:
            break
        start = at + len(entry) + 2
        found.append(tuple(text[start : text.index("\n", start)].split()))
    return found


def _in_own_list(word: str, language: str) -> list[Phones]:
    listed = files.pronunciations(language)
    return [
        tuple(phones.split())
        for entry, phones in listed.items()
        if re.sub(r"\(\d+\)$", "", entry) == word
    ]


@cache
def _dictionary() -> str:
    try:
        from pocketsphinx import get_model_path  # noqa: PLC0415
    except ImportError as error:
        raise ModelError(
            "the pronouncing dictionary is not here: pip install pocketsphinx"
        ) from error
    path = Path(get_model_path("en-us/cmudict-en-us.dict"))
    try:
        return "\n" + path.read_text(encoding="utf-8") + "\n"
    except OSError as error:
        raise ModelError(
            f"{path.name} is missing from PocketSphinx: pip install --force-reinstall "
            "pocketsphinx"
        ) from error
