"""May a unit work? What its last walk and its open defects say, in words."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from sqlalchemy import Connection, Integer, Row, Select, cast, func, select

from voicecheck.round.answers import Severity
from voicecheck.store import rows
from voicecheck.store.ports import WalkRow
from voicecheck.store.tables import defects, units, walks


class UnitState(StrEnum):
    """Whether a unit may work, as the store knows it."""

    OUT_OF_SERVICE = "out_of_service"
    NOT_RELEASED = "not_released"
    """Its last walk was not finished or not signed."""
    NOT_WALKED = "not_walked"
    MAY_WORK_WITH_DEFECTS = "may_work_with_defects"
    MAY_WORK = "may_work"


WORDS = {
    UnitState.OUT_OF_SERVICE: "out of service",
    UnitState.NOT_RELEASED: "not released: the last walk does not say it may work",
    UnitState.NOT_WALKED: "not walked yet",
    UnitState.MAY_WORK_WITH_DEFECTS: "may work, with defects",
    UnitState.MAY_WORK: "may work",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitStatus:
    """One machine of the fleet."""

    unit: str
    checklist: str
    title: str
    place: str
    hour_meter_h: float | None
    hour_meter_utc: str | None
    state: UnitState
    words: str
    """The state in words."""
    open_defects: int
    worst: Severity | None
    """Of the open defects."""
    last_walk: WalkRow | None


def unit_statuses(
    connection: Connection, unit: str | None = None
) -> tuple[UnitStatus, ...]:
    """Return every unit of the fleet list by name, or this one.

    Each of the three queries looks into an index once for each unit, however
    many walks and defects there are.
    """
    counts = {str(row.unit): row for row in connection.execute(_open_query(unit))}
    newest = _newest_walks(connection, unit)
    listed = connection.execute(_of(unit, _listed_query())).all()
    return tuple(
        _status(row, counts.get(row.unit), newest.get(row.unit), row.closed or "")
        for row in listed
    )


def _open_query(unit: str | None) -> Select[Any]:
    """Open defects by unit: how many, how bad, how many that hold it."""
    query = (
        select(
            defects.c.unit,
            func.count().label("open"),
            func.max(defects.c.severity_rank).label("worst"),
            func.sum(cast(defects.c.holding, Integer)).label("held"),
        )
        .where(defects.c.closed_utc.is_(None))
        .group_by(defects.c.unit)
    )
    return query if unit is None else query.where(defects.c.unit == unit)


def _listed_query() -> Select[Any]:
    """The fleet list, with when a defect of the unit was last closed."""
    closed = (
        select(func.max(defects.c.closed_utc))
        .where(defects.c.unit == units.c.unit)
        .scalar_subquery()
    )
    return select(units, closed.label("closed")).order_by(units.c.unit)


def _newest_walks(connection: Connection, unit: str | None) -> dict[str, WalkRow]:
    other = walks.alias()
    newest = (
        select(other.c.walk_id)
        .where(other.c.unit == units.c.unit)
        .order_by(other.c.started_utc.desc(), other.c.walk_id.desc())
        .limit(1)
        .scalar_subquery()
    )
    query = rows.walk_query().join(units, walks.c.walk_id == newest)
    found = (rows.walk_row(row) for row in connection.execute(_of(unit, query)))
    return {walk.unit: walk for walk in found}


def _of(unit: str | None, query: Select[Any]) -> Select[Any]:
    return query if unit is None else query.where(units.c.unit == unit)


def _status(
    row: Row[Any], counts: Row[Any] | None, walk: WalkRow | None, closed_utc: str
) -> UnitStatus:
    held = bool(counts and counts.held)
    state = _state(held, counts is not None, walk, closed_utc)
    return UnitStatus(
        unit=str(row.unit),
        checklist=str(row.checklist),
        title=str(row.title),
        place=str(row.place),
        hour_meter_h=row.hour_meter_h,
        hour_meter_utc=row.hour_meter_utc,
        state=state,
        words=WORDS[state],
        open_defects=counts.open if counts else 0,
        worst=list(Severity)[counts.worst] if counts else None,
        last_walk=walk,
    )


def _state(
    held: bool, has_open: bool, walk: WalkRow | None, closed_utc: str
) -> UnitState:
    if held:
        return UnitState.OUT_OF_SERVICE
    if walk is None:
        return UnitState.NOT_WALKED
    record = walk.record
    if record is None or record.status != "signed":
        return UnitState.NOT_RELEASED
    if record.outcome == "out_of_service" and closed_utc < walk.last_utc:
        return UnitState.NOT_RELEASED
    if has_open:
        return UnitState.MAY_WORK_WITH_DEFECTS
    return UnitState.MAY_WORK
