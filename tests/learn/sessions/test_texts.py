"""What sessions say: the same in every language, and said by somebody."""

from __future__ import annotations

import tomllib
from importlib import resources
from string import Formatter
from typing import Any

import pytest

from voicecheck.errors import LearnError
from voicecheck.learn.sessions.texts import Texts


def texts(language: str) -> dict[str, str]:
    """All texts of a language, by dotted key."""
    file = resources.files("voicecheck.learn.sessions") / "texts" / f"{language}.toml"

    def flat(table: dict[str, Any], before: str) -> dict[str, str]:
        found: dict[str, str] = {}
        for key, value in table.items():
            inner = flat(value, f"{before}{key}.") if isinstance(value, dict) else {}
            found |= inner or {f"{before}{key}": str(value)}
        return found

    return flat(tomllib.loads(file.read_text(encoding="utf-8")), "")


def test_korean_has_the_same_keys_with_the_same_places() -> None:
    """Nothing is left untranslated, and nothing that is filled in is lost."""
    english, korean = texts("en"), texts("ko")

    assert english.keys() == korean.keys()
    for key, text in english.items():
        names = {name for _, name, _, _ in Formatter().parse(text) if name}
        theirs = {name for _, name, _, _ in Formatter().parse(korean[key]) if name}
        assert theirs <= names, key


def test_a_language_without_texts_is_named_with_its_file() -> None:
    """The error says what to add."""
    with pytest.raises(LearnError, match=r"texts/xx\.toml"):
        Texts("next", "xx")
