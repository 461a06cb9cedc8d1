"""The database of personal results: opened, brought up to date, wiped clean."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from voicecheck import settings
from voicecheck.errors import JournalError, PeopleError
from voicecheck.people import schema
from voicecheck.people.tables import metadata
from voicecheck.store.database_errors import remedy
from voicecheck.store.engines import open_engine, writing_engine

FILE_NAME = "people.sqlite3"
PEOPLE_URL = "VOICECHECK_PEOPLE_URL"
_PRAGMAS = (
    # No write-ahead log: it would keep what was erased until its next checkpoint.
    "journal_mode=DELETE",
    "synchronous=FULL",
    "fullfsync=ON",
    "secure_delete=ON",
)


def default_place() -> Path | str:
    """Return where personal results lie: VOICECHECK_PEOPLE_URL, or a file at home."""
    return os.environ.get(PEOPLE_URL) or settings.home() / FILE_NAME


class PeopleDatabase:
    """Transactions on the tables of personal results.

    Args:
        where: an SQLite file, or a URL such as postgresql://user@host/name.
        busy_timeout_s: how long to wait for another program that is writing.

    Raises:
        UsageError: the URL cannot be used.
        PeopleError: the database cannot be opened, or is newer than this program.
    """

    def __init__(self, where: Path | str, *, busy_timeout_s: float = 10.0) -> None:
        _keep_private(where)
        try:
            opened = open_engine(where, busy_timeout_s=busy_timeout_s, pragmas=_PRAGMAS)
        except JournalError as error:
            raise PeopleError(str(error)) from error
        self.place = opened.place
        self._engine = opened.engine
        self._writing = writing_engine(opened.engine)
        try:
            with self.reading() as connection:
                current = schema.is_current(connection, self.place)
            if not current:
                with self.writing() as connection:
                    schema.prepare(connection, self.place)
        except PeopleError:
            self.close()
            raise

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees everything as of one moment."""
        with self._errors(), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection; all that is written is kept, or none of it."""
        with self._errors(), self._writing.begin() as connection:
            yield connection

    def wipe(self) -> None:
        """Write the database anew, so that nothing deleted is left in its pages.

        What a server keeps elsewhere (its log, its backups) is beyond reach.

        Raises:
            PeopleError: another program holds it; what was deleted stays deleted,
                and zeroed in SQLite.
        """
        with self._errors():
            connection = self._engine.raw_connection()
            try:
                driver = connection.driver_connection
                assert driver is not None
                if self._engine.dialect.name == "sqlite":
                    driver.execute("VACUUM").close()
                else:
                    driver.autocommit = True
                    for table in metadata.tables:
                        driver.execute(f'VACUUM FULL "{table}"')
                    driver.autocommit = False
            finally:
                connection.close()

    @contextmanager
    def _errors(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            raise self._translated(error.orig) from error
        except sqlite3.Error as error:
            raise self._translated(error) from error

    def _translated(self, error: BaseException | None) -> PeopleError:
        return PeopleError(
            f"the personal results in {self.place} cannot be used: {remedy(error)}"
        )


def _keep_private(where: Path | str) -> None:
    """Make the file, when it is missing, so that only its owner can read it."""
    path = Path(where)
    if isinstance(where, str) and "://" in where:
        if not where.startswith("sqlite:"):
            return
        path = Path(where.removeprefix("sqlite:///"))
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch(mode=0o600, exist_ok=True)
    except OSError as error:
        raise PeopleError(
            f"the personal results {path} cannot be made ({error}); check the rights "
            "of the folder"
        ) from error
