"""Units and their walks as the pages list them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from voicecheck.store.fleet import Fleet
from voicecheck.store.ports import WalkRow
from voicecheck.store.unit_status import UnitState
from voicecheck.store.unit_status import UnitStatus as Stored

SHIFT = timedelta(hours=12)
"""A walk counts for the shift it was made in; a longer shift is not usual
(common practice, no source)."""


class UnitStatus(StrEnum):
    """May this unit work, by its newest walk and its open defects?"""

    OUT_OF_SERVICE = "out_of_service"
    UNFINISHED = "unfinished"
    """Its newest walk was left or not signed, or found something that has been
    put right since: walk round it first."""
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
    def held(self) -> bool:
        """Tell whether only a competent person's release comes next."""
        return self.status is UnitStatus.OUT_OF_SERVICE

    @property
    def unfinished(self) -> WalkRow | None:
        """The newest walk, when it can be taken up."""
        newest = self.newest
        return newest if newest is not None and newest.record is None else None


def units(fleet: Fleet, now: datetime) -> tuple[UnitLine, ...]:
    """Return one line for each unit, those that must not work first."""
    order = list(UnitStatus)
    lines = (line_of(one, now) for one in fleet.units())
    return tuple(sorted(lines, key=lambda line: (order.index(line.status), line.unit)))


def line_of(one: Stored, now: datetime) -> UnitLine:
    """Return the line of one unit, by what the store knows of it."""
    return UnitLine(
        unit=one.unit,
        status=_status(one.state, one.last_walk, now),
        newest=one.last_walk,
        open_defects=one.open_defects,
        worst=one.worst.value if one.worst else "",
    )


def _status(state: UnitState, newest: WalkRow | None, now: datetime) -> UnitStatus:
    if state is UnitState.NOT_RELEASED:
        return UnitStatus.UNFINISHED
    releasing = state in {UnitState.MAY_WORK, UnitState.MAY_WORK_WITH_DEFECTS}
    if releasing and newest is not None and _is_old(newest, now):
        return UnitStatus.WALK_AGAIN
    return UnitStatus(state.value)


def _is_old(newest: WalkRow, now: datetime) -> bool:
    return now - datetime.fromisoformat(newest.last_utc) > SHIFT


def is_in_progress(row: WalkRow, now: datetime) -> bool:
    """Tell whether a walk may be going on at this moment."""
    age = now - datetime.fromisoformat(row.last_utc)
    return row.record is None and age <= SHIFT
