"""Bring everything of one store into another, as often and as far as one likes.

Each step is one transaction at the far end and leaves it whole: a kept
checklist, a walk's entries so far, a record, a defect's events. What is there
already is not written again, so a transfer that was cut goes on where it was,
and doing it twice changes nothing. Before anything of a walk is written, its
chain is verified here; after it was written, it is verified at the far end.

Two devices that wrote about one unit without each other both keep all that
they wrote. A walk whose far copy went another way is left alone and reported.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, insert, select, update

from voicecheck import settings
from voicecheck.defects.story import Happening
from voicecheck.errors import JournalDamaged, RecordNotFound, SyncError
from voicecheck.store import archive, chain, defect_rows, registration, rows
from voicecheck.store import verification as verification_
from voicecheck.store.database import Database
from voicecheck.store.ports import WalkRow
from voicecheck.store.tables import (
    checklists,
    defect_events,
    defects,
    entries,
    purged,
    record_texts,
    records,
    units,
    walks,
)


@dataclass(slots=True, kw_only=True)
class Transfer:
    """What a transfer has done."""

    walks: int = 0
    """Walks that were new, or longer, or got their record."""
    entries: int = 0
    records: int = 0
    defects: int = 0
    """Defects of which an event was new."""
    unchanged: int = 0
    """Walks and defects that were there already."""
    problems: tuple[str, ...] = ()
    """A sentence for each walk or defect that could not be brought over."""

    @property
    def ok(self) -> bool:
        """Tell whether everything is at the far end."""
        return not self.problems


def transfer(
    near: Database,
    far: Database,
    *,
    folder: Path | None = None,
    progress: Callable[[int, int], None] = lambda done, total: None,
) -> Transfer:
    """Bring every walk, record and defect of one store into another.

    Args:
        near: where they are taken from; it is not changed.
        far: where they go.
        folder: home folder, for records whose text is in a file only.
        progress: told how many walks and defects are done, of how many.

    Raises:
        JournalError: a store cannot be read or written; what was brought over
            until then is whole, and another try goes on from there.
    """
    result = Transfer()
    _copy_small(near, far)
    with near.reading() as connection:
        walk_ids = list(connection.execute(_ids(walks.c.walk_id)).scalars())
        defect_ids = list(connection.execute(_ids(defects.c.defect_id)).scalars())
    total = len(walk_ids) + len(defect_ids)
    jobs: list[tuple[str, Callable[[], bool]]] = [
        (f"walk {one}", _walk_job(near, far, one, folder, result)) for one in walk_ids
    ]
    jobs += [
        (f"defect {one}", _defect_job(near, far, one, result)) for one in defect_ids
    ]
    for done, (name, job) in enumerate(jobs, start=1):
        try:
            result.unchanged += not job()
        except (SyncError, JournalDamaged) as error:
            result.problems += (f"{name}: {error}",)
        progress(done, total)
    return result


def _ids(column: Any) -> Any:
    return select(column).order_by(column)


def _walk_job(
    near: Database, far: Database, walk_id: str, folder: Path | None, result: Transfer
) -> Callable[[], bool]:
    return lambda: _bring_walk(near, far, walk_id, folder, result)


def _defect_job(
    near: Database, far: Database, defect_id: str, result: Transfer
) -> Callable[[], bool]:
    return lambda: _bring_defect(near, far, defect_id, result)


def _copy_small(near: Database, far: Database) -> None:
    """Checklists by their hash, and units that the far end does not know."""
    for table in (checklists, units):
        with near.reading() as connection:
            found = [dict(row._mapping) for row in connection.execute(select(table))]
        with far.writing() as connection:
            rows.insert_missing(connection, table, found)


def _stored(
    connection: Connection, walk_id: str, *, lock: bool = False
) -> tuple[WalkRow | None, list[chain.StoredEntry]]:
    walk = rows.walk_of(connection, walk_id, lock=lock)
    query = select(entries).where(entries.c.walk_id == walk_id).order_by(entries.c.seq)
    return walk, [rows.stored_entry(row) for row in connection.execute(query)]


def _whole(walk_id: str, walk: WalkRow | None, kept: Sequence[Any], where: str) -> None:
    found = verification_.verify(walk_id, walk, kept)
    if not found.ok:
        raise SyncError(f"its chain does not hold {where}: {found.problems[0]}")


def _bring_walk(
    near: Database, far: Database, walk_id: str, folder: Path | None, result: Transfer
) -> bool:
    with near.reading() as connection:
        walk, ours = _stored(connection, walk_id)
    assert walk is not None
    _whole(walk_id, walk, ours, "here")
    text = _record_text(near, walk, folder)
    with far.writing() as connection:
        if _was_purged(connection, walk_id):
            return False
        there, theirs = _stored(connection, walk_id, lock=True)
        if there is not None and (there.head, there.record) == (
            walk.head,
            walk.record,
        ):
            _whole(walk_id, there, theirs, "at the far end")
            return False
        if walk.record is None and theirs[: len(ours)] == ours:
            return False  # the far end has it, and perhaps more
        new = _new_entries(walk, ours, there, theirs)
        _write(connection, walk, there, new, text)
        result.walks += 1
        result.entries += len(new)
        result.records += walk.record is not None
        after, written = _stored(connection, walk_id)
        _whole(walk_id, after, written, "at the far end")  # else nothing is kept
    return True


def _new_entries(
    walk: WalkRow,
    ours: Sequence[chain.StoredEntry],
    there: WalkRow | None,
    theirs: Sequence[chain.StoredEntry],
) -> list[chain.StoredEntry]:
    """The entries that the far end lacks; its own must be how ours begin."""
    if there is not None and there.record is not None and there.record != walk.record:
        raise SyncError("the far end has another record of it; both are kept")
    if list(ours[: len(theirs)]) != list(theirs):
        raise SyncError(
            "it went on in two places; both are kept: this one here, the other one "
            "at the far end"
        )
    return list(ours[len(theirs) :])


def _write(
    connection: Connection,
    walk: WalkRow,
    there: WalkRow | None,
    new: Sequence[chain.StoredEntry],
    text: str,
) -> None:
    values = rows.walk_values(walk)
    if there is None:
        connection.execute(insert(walks).values(**values))
        registration.know_unit(connection, walk.unit, walk.checklist)
    else:
        connection.execute(
            update(walks).where(walks.c.walk_id == walk.walk_id).values(**values)
        )
    if new:
        connection.execute(insert(entries), [rows.entry_values(one) for one in new])
    if walk.record is not None:
        # Its findings come as the defects that they opened at the near end.
        connection.execute(insert(records).values(**rows.record_values(walk.record)))
        if text:
            row = {"record_id": walk.walk_id, "text": text}
            connection.execute(insert(record_texts).values(**row))
            registration.keep_hour_meter(connection, walk, archive.document_of(text))


def _record_text(near: Database, walk: WalkRow, folder: Path | None) -> str:
    if walk.record is None:
        return ""
    query = select(record_texts.c.text).where(record_texts.c.record_id == walk.walk_id)
    with near.reading() as connection:
        kept = connection.execute(query).scalar()
    if kept is not None:
        archive.check_text(str(kept), walk.record)
        return str(kept)
    try:
        data = archive.read_record(folder or settings.home(), walk)
    except (JournalDamaged, RecordNotFound) as error:
        raise SyncError(f"its record cannot be brought over: {error}") from error
    return data.decode()


def _was_purged(connection: Connection, walk_id: str) -> bool:
    query = select(purged.c.walk_id).where(purged.c.walk_id == walk_id)
    return connection.execute(query).first() is not None


def _bring_defect(
    near: Database, far: Database, defect_id: str, result: Transfer
) -> bool:
    with near.reading() as connection:
        ours = defect_rows.happenings(connection, defect_id)
    with far.writing() as connection:
        if _all_purged(connection, ours):
            return False
        query = select(defect_events.c.sha256).where(
            defect_events.c.defect_id == defect_id
        )
        have = set(connection.execute(query).scalars())
        new = [one for one in ours if one.sha256 not in have]
        if have:
            defect_rows.happenings(connection, defect_id)  # theirs must hold as well
        if not new:
            return False
        defect_rows.add(connection, new)
        defect_rows.happenings(connection, defect_id)
        result.defects += 1
    return True


def _all_purged(connection: Connection, story: Sequence[Happening]) -> bool:
    seen = {
        one.event.sighting.walk_id for one in story if hasattr(one.event, "sighting")
    }
    return all(_was_purged(connection, walk_id) for walk_id in seen)


__all__ = ["Transfer", "transfer"]
