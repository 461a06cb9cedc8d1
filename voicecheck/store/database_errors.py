"""Errors of the databases as sentences that say what to do next."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from voicecheck.errors import JournalDamaged, JournalError

_SENTENCES = {
    sqlite3.SQLITE_FULL: "the disk is full; make room, then carry on",
    sqlite3.SQLITE_BUSY: "another program holds it; close that one and try again",
    sqlite3.SQLITE_LOCKED: "another program holds it; close that one and try again",
    sqlite3.SQLITE_READONLY: "it may not be written; check the rights of its folder",
    sqlite3.SQLITE_PERM: "it may not be opened; check the rights of its folder",
    sqlite3.SQLITE_AUTH: "it may not be opened; check the rights of its folder",
    sqlite3.SQLITE_CANTOPEN: (
        "it cannot be opened; check that its folder is there and may be written"
    ),
    sqlite3.SQLITE_IOERR: "the disk does not answer as it should; check the disk",
    sqlite3.SQLITE_NOTADB: (
        "it is no journal; move that file away, "
        "or set VOICECHECK_HOME to another folder"
    ),
}
_DAMAGED = "its file is damaged; keep it as it is and bring back a copy from a backup"


@contextmanager
def journal_errors(place: str) -> Iterator[None]:
    """Turn the database's errors into ours; `place` names the journal.

    Raises:
        JournalDamaged: the file's inside does not fit together.
        JournalError: anything else, with what to do next.
    """
    try:
        yield
    except DBAPIError as error:
        raise _translated(place, error.orig) from error
    except sqlite3.Error as error:
        raise _translated(place, error) from error


def _translated(place: str, error: BaseException | None) -> JournalError:
    if _code(error) == sqlite3.SQLITE_CORRUPT:
        return JournalDamaged(f"the journal {place} cannot be read: {_DAMAGED}")
    return JournalError(f"the journal {place} cannot be used: {remedy(error)}")


def remedy(error: BaseException | None) -> str:
    """Return what a database's own error means, and what to do about it."""
    if not isinstance(error, sqlite3.Error):
        return _of_a_server(error)
    if _code(error) == sqlite3.SQLITE_CORRUPT:
        return _DAMAGED
    return _SENTENCES.get(_code(error), f"{error}")


def _code(error: BaseException | None) -> int:
    """Return the primary code, the low byte: https://www.sqlite.org/rescode.html."""
    return int(getattr(error, "sqlite_errorcode", 0)) & 0xFF


def _of_a_server(error: BaseException | None) -> str:
    """Classes of codes: postgresql.org/docs/current/errcodes-appendix.html."""
    first = str(error).strip().splitlines()[0] if str(error).strip() else f"{error!r}"
    code = getattr(error, "sqlstate", None) or ""
    match code[:2]:
        case "" | "08" | "57":
            return (
                f"the server does not answer ({first}); check its address and the "
                "network, then try again: what was confirmed is kept"
            )
        case "28" | "42":
            return f"{first}; check the user's rights on the database"
        case "53":
            return f"the server has no room left ({first}); make room, then carry on"
        case "40" | "55":
            return f"another program was writing ({first}); try again"
        case "XX":
            return f"the server reports damage ({first}); call its administrator"
    return first
