"""A store's database: opened, brought up to date, read and written in transactions."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import IntegrityError

from voicecheck.errors import JournalError
from voicecheck.store import schema
from voicecheck.store.database_errors import journal_errors
from voicecheck.store.engines import open_engine, writing_engine


class Database:
    """The tables of a store on an engine. `place` names it to a person."""

    def __init__(self, engine: Engine, *, place: str) -> None:
        self._engine = engine
        self._writing = writing_engine(engine)
        self.place = place
        try:
            self._prepare()
        except JournalError:
            self.close()
            raise

    @classmethod
    def open(
        cls, where: Path | str | None = None, *, busy_timeout_s: float = 5.0
    ) -> Self:
        """Open a store, which is made or upgraded where it has to be.

        Args:
            where: an SQLite file or a URL; None: the store of this computer. See
                `voicecheck.store.engines.open_engine`.
            busy_timeout_s: how long to wait for another program that is writing.

        Raises:
            UsageError: the URL cannot be used.
            JournalError: the store cannot be opened, is not a journal, or is
                newer than this program.
        """
        opened = open_engine(where, busy_timeout_s=busy_timeout_s)
        return cls(opened.engine, place=opened.place)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees everything as of one moment."""
        with journal_errors(self.place), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection; all that is written is kept, or none of it."""
        try:
            with journal_errors(self.place), self._writing.begin() as connection:
                yield connection
        except JournalError as error:
            if isinstance(error.__cause__, IntegrityError):
                raise JournalError(
                    f"the journal {self.place} refused a second entry in one place; "
                    "close any other voicecheck, then resume the walk"
                ) from error.__cause__
            raise

    def _prepare(self) -> None:
        with self.reading() as connection:
            if schema.is_current(connection, self.place):
                return
        with self.writing() as connection:
            schema.prepare(connection, self.place)
