"""Whether every shift had its walk."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.statistics.shifts import (
    EARLY,
    Covered,
    Shift,
    WalkDone,
    cover,
    plan_shifts,
)

DAY = date(2026, 10, 5)


def shifts(last: date = DAY, per_day: int = 2):  # type: ignore[no-untyped-def]
    """Return the shifts of one or more days from six o'clock."""
    return plan_shifts("L-12", DAY, last, per_day=per_day, begins=time(6), zone=UTC)


def walk(hour: int, minute: int = 0, *, signed: bool = True, unit: str = "L-12"):  # type: ignore[no-untyped-def]
    """Return a walk on the day."""
    start = datetime(2026, 10, 5, hour, minute, tzinfo=UTC)
    return WalkDone(walk_id=f"{hour}:{minute}", unit=unit, start=start, signed=signed)


def test_the_second_shift_needs_its_own_walk() -> None:
    """30 CFR 56.14100(a): before it is placed in operation on that shift."""
    found = cover(shifts(), [walk(6, 10)])

    assert [one.covered for one in found] == [Covered.DONE, Covered.MISSING]


def test_a_walk_just_before_a_shift_counts_for_it() -> None:
    """Half an hour early belongs to the coming shift, an hour to the last one."""
    early = cover(shifts(), [walk(17, 31)])
    too_early = cover(shifts(), [walk(17, 29)])

    assert [one.covered for one in early] == [Covered.MISSING, Covered.DONE]
    assert [one.covered for one in too_early] == [Covered.DONE, Covered.MISSING]


def test_a_walk_that_was_not_signed_covers_nothing() -> None:
    """It is shown as not finished, unless another one was."""
    bad, good = walk(6, 10, signed=False), walk(7)

    assert cover(shifts(), [bad])[0].covered is Covered.NOT_FINISHED
    assert cover(shifts(), [bad, good])[0].covered is Covered.DONE


def test_another_machine_covers_nothing() -> None:
    """A walk round another unit."""
    found = cover(shifts(), [walk(6, unit="L-13")])

    assert all(one.covered is Covered.MISSING for one in found)


def test_shifts_follow_the_clocks_of_the_place() -> None:
    """Six o'clock in Seoul is 21:00 UTC of the day before."""
    seoul = plan_shifts(
        "L-12", DAY, DAY, per_day=1, begins=time(6), zone=ZoneInfo("Asia/Seoul")
    )

    assert seoul[0].start.astimezone(UTC) == datetime(2026, 10, 4, 21, tzinfo=UTC)


@pytest.mark.parametrize("per_day", [0, 25])
def test_an_impossible_number_of_shifts_is_refused(per_day: int) -> None:
    """A day has 1 to 24."""
    with pytest.raises(ValueError, match="1 to 24"):
        shifts(per_day=per_day)


@given(st.integers(1, 24), st.lists(st.integers(0, 24 * 60 * 3 - 1), max_size=30))
def test_shifts_share_the_days_and_a_walk_counts_once(
    per_day: int, minutes: list[int]
) -> None:
    """No gap, no overlap; every walk in the time is in exactly one shift."""
    planned = shifts(DAY + timedelta(days=2), per_day)
    first = planned[0].start
    walks = [
        WalkDone(
            walk_id=str(number),
            unit="L-12",
            start=first + timedelta(minutes=minute),
            signed=True,
        )
        for number, minute in enumerate(minutes)
    ]

    counted = [walk_id for one in cover(planned, walks) for walk_id in one.walk_ids]

    assert len(planned) == 3 * per_day
    assert all(a.end == b.start for a, b in pairwise(planned))
    assert sorted(counted) == sorted(walk.walk_id for walk in walks)


_MINUTES = st.integers(0, 40).map(lambda count: timedelta(minutes=15 * count))
_SHIFTS = st.builds(
    lambda unit, away, length: Shift(
        unit=unit, start=_SIX + away, end=_SIX + away + length
    ),
    st.sampled_from(("L-1", "L-2")),
    _MINUTES,
    _MINUTES,
)
_SIX = datetime(2026, 10, 5, 6, tzinfo=UTC)


@given(
    plan=st.lists(_SHIFTS, max_size=8),
    walked=st.lists(st.tuples(st.sampled_from(("L-1", "L-2")), _MINUTES), max_size=6),
)
def test_a_walk_counts_for_the_latest_shift_that_it_can(
    plan: list[Shift], walked: list[tuple[str, timedelta]]
) -> None:
    """As by looking at every shift, also where shifts overlap or leave gaps."""
    walks = [
        WalkDone(walk_id=str(number), unit=unit, start=_SIX + away, signed=True)
        for number, (unit, away) in enumerate(walked)
    ]

    found = cover(plan, walks)

    ordered = [one.shift for one in found]
    assert sorted(ordered, key=lambda s: (s.start, s.unit)) == ordered
    for one in walks:
        fitting = [
            shift
            for shift in ordered
            if shift.unit == one.unit and shift.start - EARLY <= one.start < shift.end
        ]
        got = {each.shift for each in found if one.walk_id in each.walk_ids}
        assert got == set(fitting[-1:])
