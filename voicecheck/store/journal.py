"""The journal in a database, through SQLAlchemy Core.

One transaction for each entry; it is durable when `append` returns. What the
chain of hashes can and cannot show stands in `voicecheck.store.chain`.
"""

from __future__ import annotations

import hashlib
from datetime import datetime
from pathlib import Path

from sqlalchemy import insert, select, update

from voicecheck.defects.story import Defect
from voicecheck.errors import JournalDamaged
from voicecheck.record.steps import JournalEvent, JournalHead
from voicecheck.round.events import How
from voicecheck.store import (
    chain,
    defect_rows,
    registration,
    rows,
    tables,
    verification,
)
from voicecheck.store.database import Database
from voicecheck.store.engines import default_path
from voicecheck.store.ports import Entry, RecordRow, Verification, WalkRow

__all__ = ["SqlJournal", "default_path", "open_journal"]


def open_journal(
    where: Path | str | None = None, *, busy_timeout_s: float = 5.0
) -> SqlJournal:
    """Open the journal of a store; see `Database.open`."""
    return SqlJournal.open(where, busy_timeout_s=busy_timeout_s)


class SqlJournal(Database):
    """A `voicecheck.store.ports.Journal` in a database."""

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
        with self.writing() as connection:
            walk = rows.walk_of(connection, walk_id, lock=True)
            stored = chain.next_entry(walk_id, walk, event, at=at, how=how, after=after)
            row = chain.walk_after(walk, event, stored)
            if walk is None:
                connection.execute(insert(tables.walks).values(**rows.walk_values(row)))
                registration.know_unit(connection, row.unit, row.checklist)
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
        with self.reading() as connection:
            found = connection.execute(rows.walk_query().order_by(*newest)).all()
        return tuple(rows.walk_row(row) for row in found)

    def unfinished(self, unit: str) -> tuple[WalkRow, ...]:
        """Return the walks of a unit that have no record, the newest first."""
        query = (
            rows.walk_query()
            .where(tables.walks.c.unit == unit, tables.records.c.record_id.is_(None))
            .order_by(tables.walks.c.started_utc.desc(), tables.walks.c.walk_id)
        )
        with self.reading() as connection:
            return tuple(rows.walk_row(row) for row in connection.execute(query))

    def ids(self) -> tuple[str, ...]:
        """Return the ids of all walks that anything is kept of."""
        columns = (
            tables.walks.c.walk_id,
            tables.entries.c.walk_id,
            tables.records.c.record_id,
        )
        with self.reading() as connection:
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
        with self.writing() as connection:
            rows.insert_missing(
                connection, tables.checklists, [{"sha256": sha256, "text": text}]
            )
        return sha256

    def checklist_text(self, sha256: str) -> str | None:
        """Return a kept text, or None; see `Journal.checklist_text`."""
        query = select(tables.checklists.c.text).where(
            tables.checklists.c.sha256 == sha256
        )
        with self.reading() as connection:
            text = connection.execute(query).scalar_one_or_none()
        if text is None:
            return None
        if hashlib.sha256(str(text).encode()).hexdigest() != sha256:
            raise JournalDamaged(f"the kept checklist {sha256[:12]} was altered")
        return str(text)

    def register(self, record: RecordRow, document: str = "") -> None:
        """Remember a finished record; see `Journal.register`."""
        with self.writing() as connection:
            walk = rows.walk_of(connection, record.record_id, lock=True)
            chain.check_record(walk, record)
            if walk is not None and walk.record is None:
                registration.register(connection, walk, record, document)

    def record_text(self, record_id: str) -> str | None:
        """Return the kept text of a record, or None; see `Journal.record_text`."""
        column = tables.record_texts.c
        query = select(column.text).where(column.record_id == record_id)
        with self.reading() as connection:
            text = connection.execute(query).scalar()
        return None if text is None else str(text)

    def open_defects(self, unit: str) -> tuple[Defect, ...]:
        """Return the open defects of a unit; see `Journal.open_defects`."""
        with self.reading() as connection:
            return defect_rows.open_defects(connection, unit)

    def _stored(self, walk_id: str) -> tuple[WalkRow | None, list[chain.StoredEntry]]:
        with self.reading() as connection:
            walk, stored = rows.stored_walk(connection, walk_id)
        if walk is None and not stored:
            raise chain.no_such_walk(walk_id)
        return walk, stored
