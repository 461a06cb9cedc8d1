"""The texts of the pages in every language."""

from __future__ import annotations

import re
from importlib import resources

import pytest

from voicecheck.server import words

ENGLISH = words.tables("en")


@pytest.mark.parametrize("language", sorted(words.languages()))
def test_every_language_has_the_same_keys_and_blanks(language: str) -> None:
    """No text is missing, and each is filled in with the same values."""
    tables = words.tables(language)

    assert {name: set(table) for name, table in tables.items()} == {
        name: set(table) for name, table in ENGLISH.items()
    }
    for name, table in tables.items():
        for key, text in table.items():
            blanks = set(re.findall(r"{(\w+)", text))
            assert blanks == set(re.findall(r"{(\w+)", ENGLISH[name][key])), key


def test_english_and_korean_are_there() -> None:
    """The two languages of the program, by their own names."""
    assert words.languages() == {"en": "English", "ko": "한국어"}


def test_every_text_that_a_template_asks_for_is_there() -> None:
    """Each `t("key")` and `t.of("table", …)` of the templates."""
    folder = resources.files("voicecheck.server") / "templates"
    text = "".join(file.read_text("utf-8") for file in folder.iterdir())

    asked = set(re.findall(r"""\bt\(["'](\w+)["']""", text))
    tables = set(re.findall(r"""\bt\.of\(["'](\w+)["']""", text))
    assert len(asked) > 50
    assert asked - set(ENGLISH["say"]) == set()
    assert tables - set(ENGLISH) == set()


def test_an_unknown_language_falls_back() -> None:
    """Pages of a walk in a language without texts are in English."""
    assert words.Words("xx").language == "en"
