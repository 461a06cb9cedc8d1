"""Which walks a list shows, as one query."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Select, select

from voicecheck.store import rows
from voicecheck.store.tables import records, walks


def walk_list(
    unit: str | None = None,
    since_utc: str | None = None,
    until_utc: str | None = None,
    *,
    limit: int | None = None,
    offset: int = 0,
    unfinished: bool = False,
) -> Select[Any]:
    """Return the query for walks with their records, the newest first.

    A page is found in the index alone, and only its walks are then looked up:
    a page far back costs about what the first one does.

    Args:
        unit: only of this machine.
        since_utc: begun then or later.
        until_utc: begun before.
        limit: at most so many.
        offset: leave so many of the newest out.
        unfinished: only those without a record.
    """
    # both columns down: an index is then read backwards, and nothing is sorted
    newest = (walks.c.started_utc.desc(), walks.c.walk_id.desc())
    wanted = [
        *([] if unit is None else [walks.c.unit == unit]),
        *([] if since_utc is None else [walks.c.started_utc >= since_utc]),
        *([] if until_utc is None else [walks.c.started_utc < until_utc]),
    ]
    if unfinished:
        record = select(records.c.record_id).correlate(walks)
        record = record.where(records.c.record_id == walks.c.walk_id)
        # not as NOT EXISTS: PostgreSQL would then read all records for a few walks
        wanted.append(record.scalar_subquery().is_(None))
    if limit is None and not offset:
        return rows.walk_query().where(*wanted).order_by(*newest)
    page = (
        select(walks.c.walk_id)
        .where(*wanted)
        .order_by(*newest)
        .limit(limit)
        .offset(offset or None)
        .subquery()
    )
    return (
        rows.walk_query()
        .join(page, page.c.walk_id == walks.c.walk_id)
        .order_by(*newest)
    )
