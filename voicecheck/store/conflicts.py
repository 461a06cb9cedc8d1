"""Where two devices wrote about one unit without knowing of each other."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from sqlalchemy import Connection, select

from voicecheck.defects.story import Defect
from voicecheck.store import defect_rows
from voicecheck.store.tables import walks

_MOST = 1000
"""Pairs of walks at the same time, the newest."""


class ConflictKind(StrEnum):
    """How two devices got into each other's way."""

    DEFECT_FORKED = "defect_forked"
    DEFECT_TWICE = "defect_twice"
    WALKS_AT_ONCE = "walks_at_once"


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Two devices that did not know of each other. Both sides are kept."""

    unit: str
    kind: ConflictKind
    words: str
    title: str = ""
    """Of the defect, if it is about one."""
    walk_ids: tuple[str, ...] = ()
    defect_ids: tuple[str, ...] = ()


def conflicts(connection: Connection, unit: str | None) -> tuple[Conflict, ...]:
    """Return the conflicts of one unit or all."""
    open_ones = defect_rows.open_defects(connection, unit)
    found = [
        Conflict(
            unit=one.unit,
            kind=ConflictKind.DEFECT_FORKED,
            words=f"two devices went on with one defect: {one.title}",
            title=one.title,
            defect_ids=(one.defect_id,),
        )
        for one in open_ones
        if one.conflict
    ]
    places: dict[tuple[str, str], list[Defect]] = {}
    for one in open_ones:
        places.setdefault((one.unit, one.checkpoint_id), []).append(one)
    found += [
        Conflict(
            unit=where[0],
            kind=ConflictKind.DEFECT_TWICE,
            words=f"two defects are open at one checkpoint: {ones[0].title}",
            title=ones[0].title,
            defect_ids=tuple(one.defect_id for one in ones),
        )
        for where, ones in places.items()
        if len(ones) > 1
    ]
    return (*found, *_walks_at_once(connection, unit))


def _walks_at_once(connection: Connection, unit: str | None) -> tuple[Conflict, ...]:
    """Walks of one unit that were under way at the same time."""
    other = walks.alias()
    query = (
        select(walks.c.unit, walks.c.walk_id, other.c.walk_id.label("other_id"))
        .join(
            other,
            (other.c.unit == walks.c.unit)
            & (other.c.started_utc >= walks.c.started_utc)
            & (other.c.started_utc < walks.c.last_utc)
            & (other.c.walk_id != walks.c.walk_id),
        )
        .order_by(walks.c.started_utc.desc())
        .limit(_MOST)
    )
    if unit is not None:
        query = query.where(walks.c.unit == unit)
    return tuple(
        Conflict(
            unit=str(row.unit),
            kind=ConflictKind.WALKS_AT_ONCE,
            words="two walks were under way at the same time",
            walk_ids=(str(row.walk_id), str(row.other_id)),
        )
        for row in connection.execute(query)
    )
