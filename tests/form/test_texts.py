"""The texts of the form in every language."""

from __future__ import annotations

import re
from importlib import resources

import pytest
from rich.cells import cell_len

from voicecheck.errors import GrammarError
from voicecheck.form import texts
from voicecheck.form.entry import Command, parse
from voicecheck.form.pages import Pages, wrapped
from voicecheck.round.probing import Question, QuestionName
from voicecheck.testing.small_checklist import small_checklist

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


@pytest.mark.parametrize("language", languages())
def test_every_command_shown_is_understood(language: str) -> None:
    """In its own language, at a question with choices."""
    pages = Pages(small_checklist(), language)
    entry = pages.entry(Question(name=QuestionName.CONDITION), None)

    for meaning, word in texts.command_words(language).items():
        assert parse(word, entry) == Command(meaning=meaning)


@pytest.mark.parametrize(
    "text",
    [
        "one two three four five six " * 8,
        "회전 반경 밖에서 유리 너머를 올려다봅니다 " * 8,
        "a" * 200,
    ],
    ids=["English", "Korean", "one long word"],
)
def test_lines_fit_a_terminal(text: str) -> None:
    """Eighty columns, where a Korean letter takes two; no word is lost or broken."""
    lines = wrapped(text)

    assert " ".join(line.strip() for line in lines) == text.strip()
    assert all(cell_len(line) < 80 or " " not in line.strip() for line in lines)
    assert len(lines) > 1 or " " not in text
