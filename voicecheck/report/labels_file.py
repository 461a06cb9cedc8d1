"""The words of a page, by language."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

FALLBACK = "en"

Labels = Mapping[str, Mapping[str, str]]
"""Group of words, then word."""


@cache
def languages() -> tuple[str, ...]:
    """Return the languages that have words, by name."""
    folder = files(__package__).joinpath("labels")
    names = (entry.name for entry in folder.iterdir())
    return tuple(
        sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml"))
    )


@cache
def labels(language: str) -> Labels:
    """Return the words of a language; of English when it has none."""
    name = language if language in languages() else FALLBACK
    text = files(__package__).joinpath("labels", f"{name}.toml").read_text("utf-8")
    return tomllib.loads(text)
