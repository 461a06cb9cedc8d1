"""The far end of a push in a database: an SQLite file or PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, select

from voicecheck.errors import JournalDamaged, SyncError, UsageError
from voicecheck.record.steps import JournalHead
from voicecheck.store import defect_rows, rows, taking, verification
from voicecheck.store.conflicts import Conflict
from voicecheck.store.far_end import Asked, FarWalk, Fate, Have, Parcel, Receipt
from voicecheck.store.fleet import SqlFleet
from voicecheck.store.tables import checklists, defects, purged, records, units, walks

_ONE_BY_ONE = 20
"""Units that are looked at each for itself; for more, all are looked at once."""


class DatabaseFarEnd:
    """A `voicecheck.store.far_end.FarEnd` on an open store."""

    def __init__(self, store: SqlFleet) -> None:
        self._store = store

    @property
    def place(self) -> str:
        """Where the store is, without a password."""
        return self._store.place

    def have(self, asked: Asked) -> Have:
        """Tell what is there; see `FarEnd.have`."""
        with self._store.reading() as connection:
            return Have(
                checklists=_known(connection, checklists.c.sha256, asked.checklists),
                units=_known(connection, units.c.unit, asked.units),
                defects=_heads(connection, asked.defects),
                walks=_walks(connection, asked.walks),
                purged=_known(connection, purged.c.walk_id, asked.walks),
                damaged=_damaged(connection, asked) if asked.verify else {},
            )

    def take(self, parcels: Sequence[Parcel]) -> tuple[Receipt, ...]:
        """Keep parcels in one transaction; see `FarEnd.take`."""
        with self._store.writing() as connection:
            return tuple(_receipt(connection, parcel) for parcel in parcels)

    def conflicts(self, wanted: Sequence[str]) -> tuple[Conflict, ...]:
        """Tell of conflicts; see `FarEnd.conflicts`."""
        names = sorted(set(wanted))
        if len(names) > _ONE_BY_ONE:
            return tuple(one for one in self._store.conflicts() if one.unit in names)
        return tuple(one for name in names for one in self._store.conflicts(name))


def _receipt(connection: Connection, parcel: Parcel) -> Receipt:
    try:
        with connection.begin_nested():
            return taking.take(connection, parcel)
    except (SyncError, JournalDamaged, UsageError) as error:
        return Receipt(fate=Fate.REFUSED, why=str(error))
    except RecursionError:  # only a hostile writer nests that deeply
        return Receipt(fate=Fate.REFUSED, why="it is nested too deeply")


def _known(
    connection: Connection, column: Any, wanted: Iterable[str]
) -> frozenset[str]:
    query = select(column).where(column.in_(list(wanted)))
    return frozenset(str(one) for one in connection.execute(query).scalars())


def _heads(connection: Connection, wanted: Iterable[str]) -> dict[str, tuple[str, ...]]:
    query = select(defects.c.defect_id, defects.c.heads).where(
        defects.c.defect_id.in_(list(wanted))
    )
    found = connection.execute(query)
    return {str(row.defect_id): tuple(str(row.heads).split()) for row in found}


def _walks(connection: Connection, wanted: Iterable[str]) -> dict[str, FarWalk]:
    query = (
        select(
            walks.c.walk_id,
            walks.c.head_seq,
            walks.c.head_sha256,
            records.c.file_sha256,
        )
        .outerjoin(records, records.c.record_id == walks.c.walk_id)
        .where(walks.c.walk_id.in_(list(wanted)))
    )
    return {
        str(row.walk_id): FarWalk(
            head=JournalHead(seq=int(row.head_seq), sha256=str(row.head_sha256)),
            file_sha256=None if row.file_sha256 is None else str(row.file_sha256),
        )
        for row in connection.execute(query)
    }


def _damaged(connection: Connection, asked: Asked) -> dict[str, str]:
    found: dict[str, str] = {}
    for walk_id in _walks(connection, asked.walks):
        kept = verification.verify(walk_id, *rows.stored_walk(connection, walk_id))
        if not kept.ok:
            found[walk_id] = kept.problems[0]
    for defect_id in _heads(connection, asked.defects):
        try:
            defect_rows.happenings(connection, defect_id)
        except JournalDamaged as error:
            found[defect_id] = str(error)
    return found
