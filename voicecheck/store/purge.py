"""Throw away what the rules of keeping let go, and write down that it went."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, delete, insert, select

from voicecheck.clock import utc_text
from voicecheck.defects.steps import event_of
from voicecheck.defects.story import Defect, sighting_of
from voicecheck.errors import KeepingError
from voicecheck.store import defect_rows, rows
from voicecheck.store.database import Database
from voicecheck.store.keeping import Policy, Verdict, verdicts
from voicecheck.store.session import record_name
from voicecheck.store.tables import (
    defect_events,
    defects,
    entries,
    purged,
    record_texts,
    records,
    walks,
)


class Purge(Database):
    """The only place that takes anything out of a store."""

    def judge(self, policy: Policy, now: datetime) -> tuple[Verdict, ...]:
        """Return for every walk whether it may go, the newest first."""
        with self.reading() as connection:
            return _judged(connection, policy, now)

    def throw_away(
        self, wanted: Collection[str], policy: Policy, now: datetime, folder: Path
    ) -> tuple[Verdict, ...]:
        """Throw these walks away, all or none; return what went.

        Defects that are closed and were seen by no other walk go with them.

        Args:
            wanted: ids of walks.
            policy: the site's.
            now: aware of its time zone.
            folder: the home folder, where files of records lie.

        Raises:
            KeepingError: one of them must be kept; nothing was thrown away.
        """
        with self.writing() as connection:
            judged = {one.walk.walk_id: one for one in _judged(connection, policy, now)}
            chosen = [judged[walk_id] for walk_id in wanted if walk_id in judged]
            kept = [one for one in chosen if not one.may_go]
            if kept:
                lines = [f"{o.walk.walk_id[:8]}: {'; '.join(o.reasons)}" for o in kept]
                raise KeepingError(
                    "nothing was thrown away, for these must be kept:\n"
                    + "\n".join(lines)
                )
            _throw_away(connection, chosen, utc_text(now))
        for one in chosen:  # after the commit: a file without a walk is found
            record = folder / record_name(one.walk.walk_id)
            for path in (record, record.with_suffix(".html")):
                path.unlink(missing_ok=True)
        return tuple(chosen)


def _judged(
    connection: Connection, policy: Policy, now: datetime
) -> tuple[Verdict, ...]:
    newest = (walks.c.started_utc.desc(), walks.c.walk_id)
    found = connection.execute(rows.walk_query().order_by(*newest)).all()
    listed = connection.execute(select(defects)).all()
    by_id = {str(row.defect_id): defect_rows.defect_row(row) for row in listed}
    of_walk: dict[str, list[Defect]] = {}
    for defect_id, seen_by in _seen_by(connection).items():
        for walk_id in seen_by:
            of_walk.setdefault(walk_id, []).append(by_id[defect_id])
    return verdicts((rows.walk_row(row) for row in found), of_walk, policy, now)


def _seen_by(connection: Connection) -> dict[str, set[str]]:
    """By defect, the walks that found it or saw it again."""
    kinds = ("found", "still_there")
    query = select(
        defect_events.c.defect_id, defect_events.c.kind, defect_events.c.payload
    ).where(defect_events.c.kind.in_(kinds))
    seen: dict[str, set[str]] = {}
    for row in connection.execute(query):
        sighting = sighting_of(event_of(str(row.kind), str(row.payload)))
        if sighting is not None:
            seen.setdefault(str(row.defect_id), set()).add(sighting.walk_id)
    return seen


def _throw_away(
    connection: Connection, chosen: Sequence[Verdict], purged_utc: str
) -> None:
    for one in chosen:
        walk = one.walk
        connection.execute(
            insert(purged).values(
                walk_id=walk.walk_id,
                unit=walk.unit,
                started_utc=walk.started_utc,
                head_sha256=walk.head.sha256,
                purged_utc=purged_utc,
                reason="no rule of keeping asked for it any more",
            )
        )
        for table, column in (
            (record_texts, record_texts.c.record_id),
            (records, records.c.record_id),
            (entries, entries.c.walk_id),
            (walks, walks.c.walk_id),
        ):
            connection.execute(delete(table).where(column == walk.walk_id))
    gone = {str(x) for x in connection.execute(select(purged.c.walk_id)).scalars()}
    for defect_id, seen_by in _seen_by(connection).items():
        if seen_by <= gone:  # closed: an open one would have kept its walks
            for table in (defect_events, defects):
                connection.execute(delete(table).where(table.c.defect_id == defect_id))
