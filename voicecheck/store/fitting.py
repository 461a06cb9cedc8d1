"""Does a row fit its table in any database? Asked before a stranger's row is written.

SQLite takes almost anything; PostgreSQL refuses longer texts, larger numbers and
the character NUL, and a refusal in the middle would end the whole transaction.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import Integer, String, Table

from voicecheck.errors import SyncError

_GREATEST = 2**31 - 1
"""Of PostgreSQL's integer (postgresql.org/docs/current/datatype-numeric.html)."""


def check_fit(table: Table, values: dict[str, Any]) -> dict[str, Any]:
    """Return the values of a row as they are.

    Raises:
        SyncError: a text is too long or has characters that none may have, or a
            number is too large.
    """
    for column in table.columns:
        value = values.get(column.name)
        if isinstance(value, str) and isinstance(column.type, String):
            most = column.type.length
            if (most is not None and len(value) > most) or not _is_text(value):
                raise SyncError(f"the {column.name} of its {table.name} cannot be kept")
        most_whole = _GREATEST if isinstance(column.type, Integer) else None
        if isinstance(value, int) and most_whole and abs(value) > most_whole:
            raise SyncError(f"the {column.name} of its {table.name} is too large")
    return values


def _is_text(value: str) -> bool:
    """Tell whether it is UTF-8 without NUL."""
    try:
        value.encode()
    except UnicodeEncodeError:  # half a surrogate pair
        return False
    return "\0" not in value
