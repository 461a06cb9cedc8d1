"""What guided walks and recall say, by language."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any

from voicecheck.errors import LearnError

__all__ = ["Texts"]


@cache
def _tables(language: str) -> dict[str, Any]:
    file = resources.files(__package__) / "texts" / f"{language}.toml"
    try:
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise LearnError(
            f"practice has no texts for {language!r}: add "
            f"learn/sessions/texts/{language}.toml"
        ) from error


class Texts:
    """The sentences of one kind of session in one language.

    Raises:
        LearnError: there are none in this language.
    """

    def __init__(self, part: str, language: str) -> None:
        self._table: dict[str, Any] = _tables(language)[part]

    def say(self, key: str, /, **values: object) -> str:
        """Return one sentence, filled in."""
        return str(self._table[key]).format(**values)

    def word(self, table: str, key: str) -> str:
        """Return one word or term, for example `("side", "left")`."""
        return str(self._table[table][key])
