"""Read the files of situations."""

from __future__ import annotations

import tomllib
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
    """Return the facts in a language.

    Raises:
        LearnError: no situations are written in this language.
    """
    if language not in languages():
        raise LearnError(
            f"situations are not written in {language!r} yet; "
            f"choose {' or '.join(languages())}"
        )
    parts: dict[str, PartEntry] = {}
    for name in PART_FILES:
        for part, entry in _read(language, name, PartsFile).root.items():
            if part in parts:
                raise LearnError(f"the part {part!r} stands in two files")
            parts[part] = entry
    return Facts(
        parts=parts,
        amounts=_read(language, "amounts", AmountsFile).root,
        leaks=_read(language, "leaks", LeaksFile),
        levels=_read(language, "levels", LevelsFile),
        readings=_read(language, "readings", ReadingsFile).root,
    )


def _read(language: str, name: str, model: type[Model]) -> Model:
    path = files("voicecheck.learn.situations").joinpath(language, f"{name}.toml")
    return model.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
