"""What browser, reports and commands read: units, defects, walks, records.

    with open_fleet() as fleet:
        fleet.units()                     every machine with its status in words
        fleet.open_defects("L-12")        the worst first, then the oldest
        fleet.defect(defect_id).story     everything that happened to it
        fleet.walks(unit="L-12", since_utc="2026-01-01")
        fleet.record(walk_id)             the document, held against its hash

Times are text in UTC, as in the journal, and compare as text.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from sqlalchemy import func, select

from voicecheck import settings
from voicecheck.defects.story import Defect, Happening, fold
from voicecheck.errors import JournalDamaged, RecordNotFound
from voicecheck.store import archive, chain, conflicts, defect_rows, periods, rows
from voicecheck.store.conflicts import Conflict
from voicecheck.store.database import Database
from voicecheck.store.defect_list import DefectPage, Wanted, open_page
from voicecheck.store.ports import WalkRow
from voicecheck.store.tables import defects, record_texts, walks
from voicecheck.store.unit_status import UnitStatus, unit_statuses
from voicecheck.store.walk_list import walk_list


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectStory:
    """A defect with all that happened to it, the oldest first."""

    defect: Defect
    story: tuple[Happening, ...]


class Fleet(Protocol):
    """The reading side of a store."""

    def units(self) -> tuple[UnitStatus, ...]: ...

    def unit(self, name: str) -> UnitStatus: ...

    def open_defects(
        self, unit: str | None = None, limit: int | None = None
    ) -> tuple[Defect, ...]: ...

    def open_page(self, wanted: Wanted, limit: int, offset: int = 0) -> DefectPage: ...

    def defects(
        self, unit: str | None = None, since_utc: str = ""
    ) -> tuple[Defect, ...]: ...

    def defect(self, defect_id: str) -> DefectStory: ...

    def walks(
        self,
        unit: str | None = None,
        since_utc: str | None = None,
        until_utc: str | None = None,
        limit: int | None = None,
        offset: int = 0,
        unfinished: bool = False,
    ) -> tuple[WalkRow, ...]: ...

    def walk(self, walk_id: str) -> WalkRow: ...

    def count_walks(self, unit: str | None = None) -> int: ...

    def record(self, walk_id: str) -> dict[str, Any]: ...

    def conflicts(self, unit: str | None = None) -> tuple[Conflict, ...]: ...


class SqlFleet(Database):
    """A `Fleet` in a database."""

    folder: Path | None = None
    """Where files of records lie that the database has no text of."""

    def units(self) -> tuple[UnitStatus, ...]:
        """Return every unit with its status, by name."""
        with self.reading() as connection:
            return unit_statuses(connection)

    def unit(self, name: str) -> UnitStatus:
        """Return one unit with its status.

        Raises:
            RecordNotFound: it is not in the fleet list.
        """
        with self.reading() as connection:
            found = unit_statuses(connection, name)
        if not found:
            raise RecordNotFound(
                f"there is no unit {name}; `voicecheck fleet list` shows all"
            )
        return found[0]

    def open_defects(
        self, unit: str | None = None, limit: int | None = None
    ) -> tuple[Defect, ...]:
        """Return open defects, of one unit or all, the worst first, then the oldest."""
        with self.reading() as connection:
            return defect_rows.open_defects(connection, unit, limit)

    def open_page(self, wanted: Wanted, limit: int, offset: int = 0) -> DefectPage:
        """Return one page of the open defects that are wanted, and how many are."""
        with self.reading() as connection:
            return open_page(connection, wanted, limit, offset)

    def defects(
        self, unit: str | None = None, since_utc: str = ""
    ) -> tuple[Defect, ...]:
        """Return open and closed defects found since then, the newest first."""
        query = select(defects).where(defects.c.found_utc >= since_utc)
        if unit is not None:
            query = query.where(defects.c.unit == unit)
        newest = (defects.c.found_utc.desc(), defects.c.defect_id)
        with self.reading() as connection:
            found = connection.execute(query.order_by(*newest)).all()
        return tuple(defect_rows.defect_row(row) for row in found)

    def stories(
        self, unit: str | None = None, since_utc: str = "", until_utc: str | None = None
    ) -> Iterator[DefectStory]:
        """Yield the defects found in a time with their stories, the newest first.

        Raises:
            JournalDamaged: a story was altered.
        """
        with self.reading() as connection:
            found = periods.stories(connection, unit, since_utc, until_utc)
            for defect, story in found:
                yield DefectStory(defect=defect, story=story)

    def defect(self, defect_id: str) -> DefectStory:
        """Return a defect and its story, checked from end to end.

        Raises:
            RecordNotFound: there is no such defect.
            JournalDamaged: its story was altered.
        """
        with self.reading() as connection:
            story = defect_rows.happenings(connection, defect_id)
        return DefectStory(defect=fold(story), story=story)

    def walks(
        self,
        unit: str | None = None,
        since_utc: str | None = None,
        until_utc: str | None = None,
        limit: int | None = None,
        offset: int = 0,
        unfinished: bool = False,
    ) -> tuple[WalkRow, ...]:
        """Return walks begun from `since_utc` on and before `until_utc`, newest first.

        Args:
            unit: only of this machine.
            since_utc: ISO 8601 with Z, or how one begins, such as 2026-01.
            until_utc: likewise; the moment itself is not included.
            limit: at most so many.
            offset: leave so many of the newest out.
            unfinished: only those without a record.
        """
        query = walk_list(
            unit,
            since_utc,
            until_utc,
            limit=limit,
            offset=offset,
            unfinished=unfinished,
        )
        with self.reading() as connection:
            return tuple(rows.walk_row(row) for row in connection.execute(query))

    def walk(self, walk_id: str) -> WalkRow:
        """Return one walk.

        Raises:
            RecordNotFound: there is no such walk.
        """
        with self.reading() as connection:
            row = rows.walk_of(connection, walk_id)
        if row is None:
            raise chain.no_such_walk(walk_id)
        return row

    def record(self, walk_id: str) -> dict[str, Any]:
        """Return the document of a finished walk.

        Raises:
            RecordNotFound: there is no such walk, or it has no record yet.
            JournalDamaged: it was altered.
        """
        document: dict[str, Any] = json.loads(self.record_bytes(walk_id))
        return document

    def documents(
        self,
        unit: str | None = None,
        since_utc: str | None = None,
        until_utc: str | None = None,
    ) -> Iterator[dict[str, Any]]:
        """Yield the records of walks begun in a time, the newest first.

        Raises:
            JournalDamaged: a record is gone or was altered.
        """
        with self.reading() as connection:
            for data in periods.record_bytes(
                connection, self.folder, unit, since_utc, until_utc
            ):
                document: dict[str, Any] = json.loads(data)
                yield document

    def record_bytes(self, walk_id: str) -> bytes:
        """Return the bytes of a record just as its device wrote them."""
        row = self.walk(walk_id)
        text = record_texts.c.text
        query = select(text).where(record_texts.c.record_id == walk_id)
        with self.reading() as connection:
            kept = connection.execute(query).scalar()
        if kept is None or row.record is None:
            return archive.read_record(self.folder or settings.home(), row)
        data = str(kept).encode()
        if hashlib.sha256(data).hexdigest() != row.record.file_sha256:
            raise JournalDamaged(f"the kept record {walk_id} was altered")
        return data

    def conflicts(self, unit: str | None = None) -> tuple[Conflict, ...]:
        """Return where two devices wrote about one unit without each other."""
        with self.reading() as connection:
            return conflicts.conflicts(connection, unit)

    def count_walks(self, unit: str | None = None) -> int:
        """Return how many walks there are, of one unit or all."""
        query = select(func.count()).select_from(walks)
        if unit is not None:
            query = query.where(walks.c.unit == unit)
        with self.reading() as connection:
            return int(connection.execute(query).scalar_one())


def open_fleet(
    where: Path | str | None = None, *, folder: Path | None = None
) -> SqlFleet:
    """Open the reading side of a store; see `Database.open`.

    Args:
        where: an SQLite file or a URL; None: the store of this computer.
        folder: the home folder of older records; None: `settings.home()`.
    """
    fleet = SqlFleet.open(where)
    fleet.folder = folder
    return fleet


__all__ = [
    "Conflict",
    "DefectPage",
    "DefectStory",
    "Fleet",
    "RecordNotFound",
    "SqlFleet",
    "UnitStatus",
    "Wanted",
    "open_fleet",
]
