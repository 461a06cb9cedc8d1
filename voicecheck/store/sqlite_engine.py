"""SQLite as a journal needs it: durable, and with errors that a person understands."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError

from voicecheck.errors import JournalDamaged, JournalError

WRITES = "voicecheck_writes"
"""Execution option of connections that write: take the write lock at once."""

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


def sqlite_engine(path: Path, *, busy_timeout_s: float) -> Engine:
    """Return an engine on a database file, which is made when it is missing.

    Every commit is on the disk when it returns (write-ahead log with
    synchronous=FULL; https://www.sqlite.org/pragma.html#pragma_synchronous).
    """
    engine = create_engine(
        URL.create("sqlite", database=str(path)),
        connect_args={"timeout": busy_timeout_s},
    )

    @event.listens_for(engine, "connect")
    def _prepare(connection: sqlite3.Connection, _: Any) -> None:
        # We begin transactions ourselves; the driver would begin them too late.
        connection.isolation_level = None
        try:
            for pragma in (
                "journal_mode=WAL",
                "synchronous=FULL",
                "fullfsync=ON",
                "foreign_keys=ON",
            ):
                connection.execute(f"PRAGMA {pragma}").close()
        except sqlite3.Error:
            connection.close()
            raise

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get(WRITES)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


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
    # The low byte is the primary code: https://www.sqlite.org/rescode.html
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_CORRUPT:
        return JournalDamaged(f"the journal {place} cannot be read: {_DAMAGED}")
    sentence = _SENTENCES.get(code, f"{error}")
    return JournalError(f"the journal {place} cannot be used: {sentence}")
