"""Rows of the tables as values, and values as rows.

A database may hold anything once somebody has been at it, so nothing here
trusts the type of a column.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from sqlalchemy import Connection, Row, Select, Table, select
from sqlalchemy.dialects import postgresql, sqlite

from voicecheck.record.steps import JournalHead
from voicecheck.store import tables
from voicecheck.store.chain import StoredEntry
from voicecheck.store.ports import RecordRow, WalkRow


def insert_missing(
    connection: Connection, table: Table, values: Sequence[dict[str, Any]]
) -> int:
    """Insert those rows whose key is not there yet; return how many were."""
    if not values:
        return 0
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    statement = dialect.insert(table).on_conflict_do_nothing()
    return sum(connection.execute(statement.values(**row)).rowcount for row in values)


def walk_query() -> Select[Any]:
    record = tables.records.c
    return select(
        tables.walks,
        record.record_id,
        record.path,
        record.content_sha256,
        record.file_sha256,
        record.status,
        record.outcome,
        record.head_seq.label("record_seq"),
        record.head_sha256.label("record_sha256"),
    ).select_from(
        tables.walks.outerjoin(
            tables.records, record.record_id == tables.walks.c.walk_id
        )
    )


def walk_of(
    connection: Connection, walk_id: str, *, lock: bool = False
) -> WalkRow | None:
    query = walk_query().where(tables.walks.c.walk_id == walk_id)
    if lock:
        query = query.with_for_update(of=tables.walks)
    row = connection.execute(query).first()
    return None if row is None else walk_row(row)


def stored_walk(
    connection: Connection, walk_id: str, *, lock: bool = False
) -> tuple[WalkRow | None, list[StoredEntry]]:
    """Return a walk's place in the list of walks, and its entries by number."""
    walk = walk_of(connection, walk_id, lock=lock)
    column = tables.entries.c
    query = select(tables.entries).where(column.walk_id == walk_id).order_by(column.seq)
    return walk, [stored_entry(row) for row in connection.execute(query)]


def walk_row(row: Row[Any]) -> WalkRow:
    """Return a row of `walk_query` as a value."""
    return WalkRow(
        walk_id=str(row.walk_id),
        unit=str(row.unit),
        operator=str(row.operator),
        checklist=str(row.checklist),
        checklist_version=str(row.checklist_version),
        checklist_sha256=str(row.checklist_sha256),
        started_utc=str(row.started_utc),
        last_utc=str(row.last_utc),
        head=_head(row.head_seq, row.head_sha256),
        record=None if row.record_id is None else _record_row(row),
    )


def stored_entry(row: Row[Any]) -> StoredEntry:
    """Return a row of the entries as a value."""
    return StoredEntry(
        walk_id=str(row.walk_id),
        seq=_whole(row.seq),
        at_utc=str(row.at_utc),
        kind=str(row.kind),
        payload=str(row.payload),
        previous_sha256=str(row.previous_sha256),
        sha256=str(row.sha256),
    )


def walk_values(walk: WalkRow) -> dict[str, Any]:
    """Return a walk as the columns of its table."""
    values = asdict(walk)
    del values["record"], values["head"]
    return {**values, **_head_values(walk.head)}


def entry_values(entry: StoredEntry) -> dict[str, Any]:
    """Return an entry as the columns of its table."""
    return asdict(entry)


def record_values(record: RecordRow) -> dict[str, Any]:
    """Return a record as the columns of its table."""
    values = asdict(record)
    del values["head"]
    return {**values, **_head_values(record.head)}


def _record_row(row: Row[Any]) -> RecordRow:
    return RecordRow(
        record_id=str(row.record_id),
        path=str(row.path),
        content_sha256=str(row.content_sha256),
        file_sha256=str(row.file_sha256),
        status=str(row.status),
        outcome=str(row.outcome),
        head=_head(row.record_seq, row.record_sha256),
    )


def _head(seq: object, sha256: object) -> JournalHead:
    return JournalHead(seq=_whole(seq), sha256=str(sha256))


def _head_values(head: JournalHead) -> dict[str, Any]:
    return {"head_seq": head.seq, "head_sha256": head.sha256}


def _whole(value: object) -> int:
    return value if isinstance(value, int) else -1
