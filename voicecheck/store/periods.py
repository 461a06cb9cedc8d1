"""Records and stories of a period, one after the other, however many there are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from sqlalchemy import Connection, select

from voicecheck import settings
from voicecheck.defects.story import Defect, Happening, fold, in_order
from voicecheck.errors import JournalDamaged
from voicecheck.store import archive, defect_rows, rows
from voicecheck.store.tables import defect_events, defects, record_texts, records
from voicecheck.store.walk_list import walk_list

_DOCUMENTS = 50
"""Records that a database hands over at a time; each has some 80 kB."""
_STORIES = 500
"""Defects whose events are read with one query."""


def record_bytes(
    connection: Connection,
    folder: Path | None,
    unit: str | None,
    since_utc: str | None,
    until_utc: str | None,
) -> Iterator[bytes]:
    """Yield every record of a period as its device wrote it, the newest first.

    Args:
        connection: to the store; it is read as the records are taken.
        folder: the home folder, for records that the store has no text of.
        unit: only of this machine.
        since_utc: of walks begun then or later.
        until_utc: of walks begun before.

    Raises:
        JournalDamaged: a record is gone or was altered.
    """
    query = (
        walk_list(unit, since_utc, until_utc)
        .add_columns(record_texts.c.text)
        .outerjoin(record_texts, record_texts.c.record_id == records.c.record_id)
        .where(records.c.record_id.is_not(None))
        .execution_options(yield_per=_DOCUMENTS)
    )
    for row in connection.execute(query):
        walk = rows.walk_row(row)
        if row.text is None or walk.record is None:
            yield archive.read_record(folder or settings.home(), walk)
            continue
        archive.check_text(str(row.text), walk.record)
        yield str(row.text).encode()


def stories(
    connection: Connection, unit: str | None, since_utc: str, until_utc: str | None
) -> Iterator[tuple[Defect, tuple[Happening, ...]]]:
    """Yield defects found in a period, the newest first, each with its story.

    Args:
        connection: to the store.
        unit: only of this machine.
        since_utc: found then or later.
        until_utc: found before.

    Raises:
        JournalDamaged: a story was altered.
    """
    query = select(defects).where(defects.c.found_utc >= since_utc)
    if unit is not None:
        query = query.where(defects.c.unit == unit)
    if until_utc is not None:
        query = query.where(defects.c.found_utc < until_utc)
    newest = (defects.c.found_utc.desc(), defects.c.defect_id)
    listed = iter(connection.execute(query.order_by(*newest)).all())
    while some := list(islice(listed, _STORIES)):
        events = defaultdict(list)
        column = defect_events.c.defect_id
        wanted = column.in_([row.defect_id for row in some])
        for event in connection.execute(select(defect_events).where(wanted)):
            events[event.defect_id].append(defect_rows.happening(event))
        for row in some:
            story = events[row.defect_id]
            problems = defect_rows.story_problems(row, story)
            if problems:
                raise JournalDamaged(f"defect {row.defect_id}: {problems[0]}")
            yield fold(story), in_order(story)
