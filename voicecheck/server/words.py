"""The texts of the pages, by language."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources

FALLBACK = "en"

Tables = dict[str, dict[str, str]]


@cache
def languages() -> dict[str, str]:
    """Return the languages of the pages: code and own name."""
    folder = resources.files(__package__) / "texts"
    codes = sorted(
        file.name.removesuffix(".toml")
        for file in folder.iterdir()
        if file.name.endswith(".toml")
    )
    return {code: tables(code)["language"]["name"] for code in codes}


@cache
def tables(language: str) -> Tables:
    """Return the texts of a language that has some."""
    file = resources.files(__package__) / "texts" / f"{language}.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))


def known(language: str) -> str:
    """Return the language, or the one that every text has."""
    return language if language in languages() else FALLBACK


class Words:
    """Texts of one language; `words("key", count=3)` fills one in."""

    def __init__(self, language: str) -> None:
        self.language = known(language)
        self._tables = tables(self.language)

    def __call__(self, key: str, /, **values: object) -> str:
        """Return one sentence, filled in."""
        return self._tables["say"][key].format(**values)

    def of(self, table: str, key: str) -> str:
        """Return one word of a closed set; the key when it is not known."""
        return self._tables.get(table, {}).get(key, key)
