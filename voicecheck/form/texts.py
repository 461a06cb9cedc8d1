"""What the typed form shows, by language."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources

from voicecheck.errors import GrammarError

Tables = dict[str, dict[str, str]]


@cache
def tables(language: str) -> Tables:
    """Return the texts of a language.

    Raises:
        GrammarError: there are none.
    """
    file = resources.files(__package__) / "texts" / f"{language}.toml"
    try:
        text = file.read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise GrammarError(
            f"the form has no texts for {language!r}: add form/texts/{language}.toml"
        ) from error
    return tomllib.loads(text)


def say(language: str, key: str, /, **values: object) -> str:
    """Return one sentence, filled in."""
    return tables(language)["say"][key].format(**values)


def command_words(language: str) -> dict[str, str]:
    """Return the word that each command is shown as, by its meaning."""
    return tables(language)["command"]


def hint(language: str, meaning: str) -> str:
    """Return a few words that explain an answer, or nothing."""
    return tables(language)["hint"].get(meaning, "")
