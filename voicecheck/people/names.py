"""Ids of people, as they are typed."""

from __future__ import annotations

import unicodedata

from voicecheck.errors import UsageError

MOST_CHARACTERS = 64
ERASED_PREFIX = "erased-"
"""What the place of an erased person is called."""


def person_id(text: str) -> str:
    """Return the id of a person, without spaces around it.

    Raises:
        UsageError: empty, too long, with other characters than letters, digits,
            dash, underscore, dot and space, or like that of an erased person.
    """
    name = unicodedata.normalize("NFC", text).strip(" ")
    allowed = all(letter.isalnum() or letter in "-_. " for letter in name)
    if not name or not allowed or not name[0].isalnum():
        raise UsageError(
            f"{text!r} cannot be the id of a person: begin with a letter or digit, "
            "then letters, digits, dash, underscore, dot or space, as in J.Doe"
        )
    if len(name) > MOST_CHARACTERS:
        raise UsageError(
            f"the id of the person has {len(name)} characters; "
            f"use at most {MOST_CHARACTERS}"
        )
    if name.startswith(ERASED_PREFIX):
        raise UsageError(f"{name} would look like an erased person; choose another id")
    return name
