"""The words of observations, by language."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

FALLBACK = "en"

Texts = Mapping[str, Mapping[str, str]]
"""Group of words, then word; some hold places to fill in, such as {count}."""


@cache
def languages() -> tuple[str, ...]:
    """Return the languages that have words, by name."""
    names = (entry.name for entry in files(__package__).joinpath("texts").iterdir())
    return tuple(
        sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml"))
    )


@cache
def texts(language: str) -> Texts:
    """Return the words of a language; of English when it has none."""
    name = language if language in languages() else FALLBACK
    text = files(__package__).joinpath("texts", f"{name}.toml").read_text("utf-8")
    return tomllib.loads(text)
