"""SQLite as a journal needs it: every commit is on the disk."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event

WRITES = "voicecheck_writes"
"""Execution option of connections that write: take the write lock at once."""

JOURNAL_PRAGMAS = (
    "journal_mode=WAL",
    "synchronous=FULL",
    "fullfsync=ON",
    "foreign_keys=ON",
    "cache_size=-32000",  # kB at most: the indexes of a large fleet's pages
)
"""Every commit is on the disk when it returns (write-ahead log with
synchronous=FULL; https://www.sqlite.org/pragma.html#pragma_synchronous)."""


def sqlite_engine(
    path: Path, *, busy_timeout_s: float, pragmas: tuple[str, ...] = JOURNAL_PRAGMAS
) -> Engine:
    """Return an engine on a database file, which is made when it is missing.

    Args:
        path: the file.
        busy_timeout_s: how long to wait for another program that is writing.
        pragmas: what each new connection begins with.
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
            for pragma in pragmas:
                connection.execute(f"PRAGMA {pragma}").close()
        except sqlite3.Error:
            connection.close()
            raise

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get(WRITES)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine
