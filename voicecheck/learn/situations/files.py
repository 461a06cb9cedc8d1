"""Read the files of situations."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TypeVar

from pydantic import BaseModel

from voicecheck.errors import LearnError
from voicecheck.learn.situations.schema import (
    AmountsFile,
    LeaksFile,
    LevelsFile,
    PartEntry,
    PartsFile,
    ReadingEntry,
    ReadingsFile,
)
from voicecheck.learn.situations.words import (
    PartsWordsFile,
    PartWords,
    ReadingsWordsFile,
    part_in_words,
    reading_in_words,
)

ENGLISH = "en"
"""The facts stand in the English files; other languages hold texts alone."""
PART_FILES = (
    "start",
    "wheels",
    "tracks",
    "tools",
    "arms",
    "machine",
    "cab",
    "functions",
)
Model = TypeVar("Model", bound=BaseModel)


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Everything that situations of one language are built from."""

    parts: dict[str, PartEntry]
    amounts: dict[str, tuple[str, ...]]
    leaks: LeaksFile
    levels: LevelsFile
    readings: dict[str, ReadingEntry]


def languages() -> tuple[str, ...]:
    """Return the languages in which situations are written."""
    folder = files("voicecheck.learn.situations")
    return tuple(
        sorted(
            one.name for one in folder.iterdir() if one.joinpath("leaks.toml").is_file()
        )
    )


@cache
def facts(language: str) -> Facts:
    """Return the facts with texts in a language.

    Raises:
        LearnError: no situations are written in this language, or not all.
    """
    if language not in languages():
        raise LearnError(
            f"situations are not written in {language!r} yet; "
            f"choose {' or '.join(languages())}"
        )
    parts, readings = _english()
    if language != ENGLISH:
        parts = _parts_in(language, parts)
        readings = _readings_in(language, readings)
    return Facts(
        parts=parts,
        amounts=_read(language, "amounts", AmountsFile).root,
        leaks=_read(language, "leaks", LeaksFile),
        levels=_read(language, "levels", LevelsFile),
        readings=readings,
    )


@cache
def _english() -> tuple[dict[str, PartEntry], dict[str, ReadingEntry]]:
    parts: dict[str, PartEntry] = {}
    for name in PART_FILES:
        for part, entry in _read(ENGLISH, name, PartsFile).root.items():
            if part in parts:
                raise LearnError(f"the part {part!r} stands in two files")
            parts[part] = entry
    return parts, _read(ENGLISH, "readings", ReadingsFile).root


def _parts_in(language: str, parts: dict[str, PartEntry]) -> dict[str, PartEntry]:
    words: dict[str, PartWords] = {}
    for name in PART_FILES:
        words |= _read(language, name, PartsWordsFile).root
    _all_there(language, parts, words)
    return {
        name: part_in_words(name, part, words[name]) for name, part in parts.items()
    }


def _readings_in(
    language: str, readings: dict[str, ReadingEntry]
) -> dict[str, ReadingEntry]:
    words = _read(language, "readings", ReadingsWordsFile).root
    _all_there(language, readings, words)
    return {
        name: reading_in_words(name, entry, words[name])
        for name, entry in readings.items()
    }


def _all_there(
    language: str, facts_: Mapping[str, object], words: Mapping[str, object]
) -> None:
    odd = facts_.keys() ^ words.keys()
    if odd:
        raise LearnError(
            f"learn/situations/{language}: {', '.join(sorted(odd))} stands in one "
            "language only"
        )


def _read(language: str, name: str, model: type[Model]) -> Model:
    path = files("voicecheck.learn.situations").joinpath(language, f"{name}.toml")
    return model.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
