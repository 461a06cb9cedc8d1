"""Whether every shift had its walk."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from enum import StrEnum
from itertools import accumulate, groupby

EARLY = timedelta(minutes=30)
"""A walk that began so long before a shift still counts for it; our default."""


class Covered(StrEnum):
    """What a shift had."""

    DONE = "done"
    """A walk that was finished and signed."""
    NOT_FINISHED = "not_finished"
    """A walk that was begun, but stopped or not signed."""
    MISSING = "missing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """A time in which a machine was to be used."""

    unit: str
    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkDone:
    """When a walk began, and whether it was finished and signed."""

    walk_id: str
    unit: str
    start: datetime
    signed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftCover:
    """A shift with what was done for it."""

    shift: Shift
    covered: Covered
    walk_ids: tuple[str, ...]


def plan_shifts(
    unit: str,
    first: date,
    last: date,
    *,
    per_day: int,
    begins: time,
    zone: tzinfo | None = None,
) -> tuple[Shift, ...]:
    """Return shifts of equal length for every day from first to last.

    Args:
        unit: the machine.
        first: the first day.
        last: the last day; its last shift may end on the day after.
        per_day: shifts a day, 1 … 24; they share the 24 hours.
        begins: of the first shift of a day.
        zone: of these times; None: that of this computer.

    Raises:
        ValueError: no such number of shifts.
    """
    if not 1 <= per_day <= 24:
        raise ValueError("a day has 1 to 24 shifts")

    def bound(day: date, number: int) -> datetime:
        # of the whole day each time: lengths rounded one by one would leave gaps
        away = timedelta(hours=24) * number / per_day
        return _aware(datetime.combine(day, begins) + away, zone)

    return tuple(
        Shift(
            unit=unit,
            start=bound(day, number),
            end=bound(day, number + 1),
        )
        for day in _days(first, last)
        for number in range(per_day)
    )


def cover(
    shifts: Sequence[Shift], walks: Sequence[WalkDone], *, early: timedelta = EARLY
) -> tuple[ShiftCover, ...]:
    """Return every shift with the walks that count for it, in order of time.

    A walk counts for one shift: the latest one that begins no later than
    `early` after the walk began, if that shift has not ended.

    Source:
        30 CFR 56.14100(a): looked at before it is placed in operation on that
        shift.
    """
    ordered = sorted(shifts, key=lambda shift: (shift.start, shift.unit))
    found: dict[Shift, list[WalkDone]] = {shift: [] for shift in ordered}
    plans = {
        unit: _Plan(list(own))
        for unit, own in groupby(sorted(ordered, key=_by_unit), _by_unit)
    }
    for walk in sorted(walks, key=lambda walk: walk.start):
        plan = plans.get(walk.unit)
        mine = plan.latest(walk.start, early) if plan else None
        if mine is not None:
            found[mine].append(walk)
    return tuple(
        ShiftCover(
            shift=shift,
            covered=_covered(found[shift]),
            walk_ids=tuple(walk.walk_id for walk in found[shift]),
        )
        for shift in ordered
    )


class _Plan:
    """The shifts of one machine, by the time they begin."""

    def __init__(self, shifts: Sequence[Shift]) -> None:
        self._shifts = shifts
        self._starts = [shift.start for shift in shifts]
        self._last_ends = list(accumulate((shift.end for shift in shifts), max))

    def latest(self, moment: datetime, early: timedelta) -> Shift | None:
        """Return the latest one begun by `moment + early` that has not ended."""
        place = bisect_right(self._starts, moment + early) - 1
        while place >= 0 and self._last_ends[place] > moment:
            if moment < self._shifts[place].end:
                return self._shifts[place]
            place -= 1
        return None


def _by_unit(shift: Shift) -> str:
    return shift.unit


def _covered(walks: Sequence[WalkDone]) -> Covered:
    if not walks:
        return Covered.MISSING
    return Covered.DONE if any(w.signed for w in walks) else Covered.NOT_FINISHED


def _days(first: date, last: date) -> Iterator[date]:
    for number in range((last - first).days + 1):
        yield first + timedelta(days=number)


def _aware(moment: datetime, zone: tzinfo | None) -> datetime:
    return moment.astimezone() if zone is None else moment.replace(tzinfo=zone)
