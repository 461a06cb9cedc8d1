"""Names that people give: units and operators."""

from __future__ import annotations

import unicodedata

from voicecheck.errors import UsageError

MOST_CHARACTERS = 64
TRAINING = " training"
"""How the id of a unit ends on which faults are planted, such as "L-12 training"."""


def unit_id(text: str) -> str:
    """Return the id of a unit, without spaces around it.

    Raises:
        UsageError: empty, too long, or with other characters than letters,
            digits, dash, underscore, dot and space.
    """
    return _checked(text, "unit", "--unit L-12")


def is_training(unit: str) -> bool:
    """Tell whether walks on this unit are for learning: they open no defects."""
    return unit.casefold().endswith(TRAINING)


def operator_id(text: str) -> str:
    """Return the id of an operator, which may be empty; otherwise like `unit_id`."""
    if not text.strip():
        return ""
    return _checked(text, "operator", "--operator J.Doe")


def _checked(text: str, what: str, example: str) -> str:
    name = unicodedata.normalize("NFC", text).strip(" ")
    allowed = all(letter.isalnum() or letter in "-_. " for letter in name)
    if not name or not allowed or not name[0].isalnum():
        raise UsageError(
            f"{text!r} cannot be the id of the {what}: begin with a letter or digit, "
            f"then letters, digits, dash, underscore, dot or space, as in {example}"
        )
    if len(name) > MOST_CHARACTERS:
        raise UsageError(
            f"the id of the {what} has {len(name)} characters; "
            f"use at most {MOST_CHARACTERS}"
        )
    return name
