"""Units and their walks as the pages list them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from voicecheck.store.fleet import Fleet
from voicecheck.store.ports import WalkRow
from voicecheck.store.unit_status import UnitState

SHIFT = timedelta(hours=12)
"""A walk counts for the shift it was made in; a longer shift is not usual
(common practice, no source)."""


class UnitStatus(StrEnum):
    """May this unit work, by its newest walk?"""

    OUT_OF_SERVICE = "out_of_service"
    UNFINISHED = "unfinished"
    """Its newest walk was left or not signed: not released."""
    WALK_AGAIN = "walk_again"
    """It may have worked, but that walk is older than a shift."""
    MAY_WORK_WITH_DEFECTS = "may_work_with_defects"
    MAY_WORK = "may_work"
    NOT_WALKED = "not_walked"
    """It is in the fleet list, and nobody has walked round it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitLine:
    """One unit in the list."""

    unit: str
    status: UnitStatus
    newest: WalkRow | None
    open_defects: int = 0
    worst: str = ""
    """Severity of the worst open defect; empty: there is none."""

    @property
    def unfinished(self) -> WalkRow | None:
        """The newest walk, when it can be taken up."""
        newest = self.newest
        return newest if newest is not None and newest.record is None else None


def units(rows: Iterable[WalkRow], now: datetime) -> tuple[UnitLine, ...]:
    """Return one line for each unit, those that must not work first.

    Args:
        rows: all walks, the newest first.
        now: for the age of a walk.
    """
    by_unit: dict[str, list[WalkRow]] = {}
    for row in rows:
        by_unit.setdefault(row.unit, []).append(row)
    lines = [
        UnitLine(unit=unit, status=status_of(own[0], now), newest=own[0])
        for unit, own in by_unit.items()
    ]
    return _in_order(lines)


def fleet_units(fleet: Fleet, now: datetime) -> tuple[UnitLine, ...]:
    """Return the same from a fleet, whose open defects count as well."""
    return _in_order(
        UnitLine(
            unit=one.unit,
            status=_status(one.state, one.last_walk, now),
            newest=one.last_walk,
            open_defects=one.open_defects,
            worst=one.worst.value if one.worst else "",
        )
        for one in fleet.units()
    )


def _in_order(lines: Iterable[UnitLine]) -> tuple[UnitLine, ...]:
    order = list(UnitStatus)
    return tuple(sorted(lines, key=lambda line: (order.index(line.status), line.unit)))


def _status(state: UnitState, newest: WalkRow | None, now: datetime) -> UnitStatus:
    if state is UnitState.NOT_RELEASED:
        return UnitStatus.UNFINISHED
    releasing = state in {UnitState.MAY_WORK, UnitState.MAY_WORK_WITH_DEFECTS}
    if releasing and newest is not None and _is_old(newest, now):
        return UnitStatus.WALK_AGAIN
    return UnitStatus(state.value)


def _is_old(newest: WalkRow, now: datetime) -> bool:
    return now - datetime.fromisoformat(newest.last_utc) > SHIFT


def status_of(newest: WalkRow, now: datetime) -> UnitStatus:
    """Return what the newest walk of a unit says about it now."""
    record = newest.record
    if record is None:
        return UnitStatus.UNFINISHED
    if record.outcome == "out_of_service":
        stopped = record.status != "signed"
        return UnitStatus.UNFINISHED if stopped else UnitStatus.OUT_OF_SERVICE
    if _is_old(newest, now):
        return UnitStatus.WALK_AGAIN
    return UnitStatus(record.outcome)


def is_in_progress(row: WalkRow, now: datetime) -> bool:
    """Tell whether a walk may be going on at this moment."""
    age = now - datetime.fromisoformat(row.last_utc)
    return row.record is None and age <= SHIFT
