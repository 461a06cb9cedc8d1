"""The texts of the pages, by language."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable

from voicecheck.defects.wording import HoldWording

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
    """Return the texts of a language that has some, those of all folders."""
    merged: Tables = {}
    folder = resources.files(__package__) / "texts"
    for file in (folder / f"{language}.toml", *_further(folder, language)):
        for name, table in tomllib.loads(file.read_text(encoding="utf-8")).items():
            merged.setdefault(name, {}).update(table)
    return merged


def _further(folder: Traversable, language: str) -> list[Traversable]:
    """Return the files of the folders beside, such as `people/en.toml`."""
    beside = sorted((f for f in folder.iterdir() if f.is_dir()), key=lambda f: f.name)
    files = (each / f"{language}.toml" for each in beside)
    return [file for file in files if file.is_file()]


def known(language: str) -> str:
    """Return the language, or the one that every text has."""
    return language if language in languages() else FALLBACK


class Words:
    """Texts of one language; `words("key", count=3)` fills one in."""

    def __init__(self, language: str) -> None:
        self.language = known(language)
        self._tables = tables(self.language)
        self._held = HoldWording(self.language)

    def __call__(self, key: str, /, **values: object) -> str:
        """Return one sentence, filled in."""
        return self._tables["say"][key].format(**values)

    def hold(self, key: str, /, **values: object) -> str:
        """Return a sentence about a machine out of service, as it is read out."""
        return self._held.say(key, **values)

    def finding(self, kept: str) -> str:
        """Return what was found, which is kept in English words."""
        return self._held.finding(kept)

    def table(self, name: str) -> dict[str, str]:
        """Return all words of a closed set."""
        return self._tables[name]

    def of(self, table: str, key: str) -> str:
        """Return one word of a closed set; the key when it is not known."""
        return self._tables.get(table, {}).get(key, key)
