"""The journal in a database, through SQLAlchemy Core.

One transaction for each entry; it is durable when `append` returns. What the
chain of hashes can and cannot show stands in `voicecheck.store.chain`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from types import TracebackType

from sqlalchemy import Connection, Engine, insert, select, update
from sqlalchemy.exc import IntegrityError

from voicecheck.errors import JournalDamaged, JournalError
from voicecheck.record.steps import JournalEvent, JournalHead
from voicecheck.round.events import How
from voicecheck.store import chain, rows, schema, tables, verification
from voicecheck.store.database_errors import journal_errors
from voicecheck.store.engines import default_path, open_engine, writing_engine
from voicecheck.store.ports import Entry, RecordRow, Verification, WalkRow

__all__ = ["SqlJournal", "default_path", "open_journal"]


def open_journal(
    where: Path | str | None = None, *, busy_timeout_s: float = 5.0
) -> SqlJournal:
    """Open the journal of a store, which is made or upgraded where it has to be.

    Args:
        where: an SQLite file or a URL; None: the store of this computer. See
            `voicecheck.store.engines.open_engine`.
        busy_timeout_s: how long to wait for another program that is writing.

    Raises:
        UsageError: the URL cannot be used.
        JournalError: the store cannot be opened, is not a journal, or is newer
            than this program.
    """
    opened = open_engine(where, busy_timeout_s=busy_timeout_s)
    return SqlJournal(opened.engine, place=opened.place)


class SqlJournal:
    """A `voicecheck.store.ports.Journal` in a database."""

    def __init__(self, engine: Engine, *, place: str) -> None:
        self._engine = engine
        self._writing = writing_engine(engine)
        self._place = place
        try:
            self._prepare()
        except JournalError:
            self.close()
            raise

    def __enter__(self) -> SqlJournal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def append(
        self,
        walk_id: str,
        event: JournalEvent,
        *,
        at: datetime,
        how: How | None = None,
        after: JournalHead | None = None,
    ) -> Entry:
        """Add an event; see `Journal.append`."""
        with self._transaction() as connection:
            walk = rows.walk_of(connection, walk_id, lock=True)
            stored = chain.next_entry(walk_id, walk, event, at=at, how=how, after=after)
            row = chain.walk_after(walk, event, stored)
            if walk is None:
                connection.execute(insert(tables.walks).values(**rows.walk_values(row)))
            connection.execute(
                insert(tables.entries).values(**rows.entry_values(stored))
            )
            if walk is not None:
                connection.execute(
                    update(tables.walks)
                    .where(tables.walks.c.walk_id == walk_id)
                    .values(**rows.walk_values(row))
                )
        return chain.opened(stored)

    def entries(self, walk_id: str) -> tuple[Entry, ...]:
        """Return all entries of a walk; see `Journal.entries`."""
        return verification.entries(walk_id, *self._stored(walk_id))

    def walks(self) -> tuple[WalkRow, ...]:
        """Return all walks, the newest first."""
        newest = (tables.walks.c.started_utc.desc(), tables.walks.c.walk_id)
        with self._reading() as connection:
            found = connection.execute(rows.walk_query().order_by(*newest)).all()
        return tuple(rows.walk_row(row) for row in found)

    def ids(self) -> tuple[str, ...]:
        """Return the ids of all walks that anything is kept of."""
        columns = (
            tables.walks.c.walk_id,
            tables.entries.c.walk_id,
            tables.records.c.record_id,
        )
        with self._reading() as connection:
            found = {
                str(walk_id)
                for column in columns
                for walk_id in connection.execute(select(column).distinct()).scalars()
            }
        return tuple(sorted(found))

    def verify(self, walk_id: str) -> Verification:
        """Check the chain of a walk; see `Journal.verify`."""
        return verification.verify(walk_id, *self._stored(walk_id))

    def keep_checklist(self, text: str) -> str:
        """Keep a checklist's text and return its SHA-256."""
        sha256 = hashlib.sha256(text.encode()).hexdigest()
        with self._transaction() as connection:
            rows.insert_missing(
                connection, tables.checklists, [{"sha256": sha256, "text": text}]
            )
        return sha256

    def checklist_text(self, sha256: str) -> str | None:
        """Return a kept text, or None; see `Journal.checklist_text`."""
        query = select(tables.checklists.c.text).where(
            tables.checklists.c.sha256 == sha256
        )
        with self._reading() as connection:
            text = connection.execute(query).scalar_one_or_none()
        if text is None:
            return None
        if hashlib.sha256(str(text).encode()).hexdigest() != sha256:
            raise JournalDamaged(f"the kept checklist {sha256[:12]} was altered")
        return str(text)

    def register(self, record: RecordRow) -> None:
        """Remember a finished record; see `Journal.register`."""
        with self._transaction() as connection:
            walk = rows.walk_of(connection, record.record_id, lock=True)
            chain.check_record(walk, record)
            if walk is not None and walk.record is None:
                connection.execute(
                    insert(tables.records).values(**rows.record_values(record))
                )

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def _prepare(self) -> None:
        with self._reading() as connection:
            if schema.is_current(connection, self._place):
                return
        with self._transaction() as connection:
            schema.prepare(connection, self._place)

    def _stored(self, walk_id: str) -> tuple[WalkRow | None, list[chain.StoredEntry]]:
        query = (
            select(tables.entries)
            .where(tables.entries.c.walk_id == walk_id)
            .order_by(tables.entries.c.seq)
        )
        with self._reading() as connection:
            walk = rows.walk_of(connection, walk_id)
            stored = [rows.stored_entry(row) for row in connection.execute(query)]
        if walk is None and not stored:
            raise chain.no_such_walk(walk_id)
        return walk, stored

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with journal_errors(self._place), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def _transaction(self) -> Iterator[Connection]:
        try:
            with journal_errors(self._place), self._writing.begin() as connection:
                yield connection
        except JournalError as error:
            if isinstance(error.__cause__, IntegrityError):
                raise JournalError(
                    f"the journal {self._place} refused a second entry in one place; "
                    "close any other voicecheck, then resume the walk"
                ) from error.__cause__
            raise
