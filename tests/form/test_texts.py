"""The texts of the form in every language."""

from __future__ import annotations

import re
from importlib import resources

import pytest

from voicecheck.errors import GrammarError
from voicecheck.form import texts

ENGLISH = texts.tables("en")


def languages() -> list[str]:
    """The languages that have texts."""
    folder = resources.files("voicecheck.form") / "texts"
    return sorted(file.name.removesuffix(".toml") for file in folder.iterdir())


@pytest.mark.parametrize("language", languages())
def test_every_language_has_the_same_keys_and_blanks(language: str) -> None:
    """No text is missing, and each is filled in with the same values."""
    tables = texts.tables(language)

    assert {name: set(table) for name, table in tables.items()} == {
        name: set(table) for name, table in ENGLISH.items()
    }
    for name, table in tables.items():
        for key, text in table.items():
            blanks = set(re.findall(r"{(\w+)", text))
            assert blanks == set(re.findall(r"{(\w+)", ENGLISH[name][key])), key


def test_english_and_korean_are_there() -> None:
    """The two languages of the program."""
    assert {"en", "ko"} <= set(languages())


def test_a_language_without_texts_is_an_error() -> None:
    """It says which file to add."""
    with pytest.raises(GrammarError, match=r"form/texts/xx\.toml"):
        texts.say("xx", "start")
