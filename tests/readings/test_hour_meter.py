"""Hour meters: the arithmetic of RFC 1982, rollover, and what cannot be."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.readings.errors import ReadingError
from voicecheck.readings.hour_meter import (
    HourMeter,
    MeterFlag,
    forward,
    hours_between,
)

FIVE = HourMeter(digits=5, tenths=True)


# RFC 1982, 5.2: sums of eight-bit serial numbers (255 + 1 == 0, 100 + 100 == 200,
# 200 + 100 == 44), solved for the addend.
@pytest.mark.parametrize(
    ("before", "after", "added"), [(255, 0, 1), (100, 200, 100), (200, 44, 100)]
)
def test_counters_run_round_as_in_rfc_1982(before: int, after: int, added: int) -> None:
    """The distance forward is what was added."""
    assert forward(before, after, 256) == added


# Invented readings; the flags follow common practice, no source.
@pytest.mark.parametrize(
    ("previous", "current", "passed", "hours", "flag"),
    [
        ("4527.3", "4535.1", "24", "7.8", MeterFlag.PLAUSIBLE),
        ("99998.5", "3.2", "48", "4.7", MeterFlag.ROLLED_OVER),
        ("4527.3", "4527.3", "72", "0", MeterFlag.STOOD_STILL),
        ("4527.3", "4551.5", "24", "24.2", MeterFlag.PLAUSIBLE),
        ("4527.3", "4551.6", "24", "24.3", MeterFlag.JUMPED),
        ("4527.3", "4257.3", "24", None, MeterFlag.WENT_BACK),
        ("4527.3", "12.0", "240", None, MeterFlag.WENT_BACK),
        ("10.0", "20.0", "200000", None, MeterFlag.AMBIGUOUS),
    ],
)
def test_two_readings(
    previous: str, current: str, passed: str, hours: str | None, flag: MeterFlag
) -> None:
    """Hours with what is to be thought of them."""
    found = hours_between(
        Decimal(previous), Decimal(current), passed_h=Decimal(passed), meter=FIVE
    )

    assert found.flag is flag
    assert found.hours_h == (None if hours is None else Decimal(hours))


def test_only_plain_figures_are_trusted() -> None:
    """A jump shows its hours, but they do not count."""
    jump = hours_between(Decimal(1), Decimal(500), passed_h=Decimal(24), meter=FIVE)

    assert jump.hours_h == 499
    assert not jump.trusted


@given(
    digits=st.integers(3, 7),
    tenths=st.booleans(),
    start=st.integers(0, 10**8),
    ran=st.integers(0, 5000),
    idle=st.integers(0, 3000),
)
def test_the_hours_worked_come_back_across_any_rollover(
    digits: int, tenths: bool, start: int, ran: int, idle: int
) -> None:
    """Whatever a meter ran within the calendar is found again exactly."""
    meter = HourMeter(digits=digits, tenths=tenths)
    size = meter.rolls_over_at
    start, ran = start % size, ran % size
    passed_h = (ran + idle) * meter.step_h

    found = hours_between(
        start * meter.step_h,
        (start + ran) % size * meter.step_h,
        passed_h=passed_h,
        meter=meter,
    )

    once_round = ran + size <= ran + idle + 2
    assert found.hours_h == (None if once_round else ran * meter.step_h)


@given(st.integers(0, 999999), st.integers(0, 999999), st.integers(0, 50000))
def test_trusted_hours_never_exceed_the_calendar(
    before: int, after: int, passed: int
) -> None:
    """But for two steps of reading error."""
    found = hours_between(
        Decimal(before) / 10, Decimal(after) / 10, passed_h=Decimal(passed), meter=FIVE
    )

    assert not found.trusted or (found.hours_h or 0) <= passed + Decimal("0.2")


@pytest.mark.parametrize("reading", ["-1", "100000", "12.34", "NaN", "Infinity"])
def test_what_the_meter_cannot_show_is_refused(reading: str) -> None:
    """Too many digits, or hundredths."""
    with pytest.raises(ReadingError, match="hour meter"):
        hours_between(Decimal(reading), Decimal(5), passed_h=Decimal(1), meter=FIVE)


@pytest.mark.parametrize("digits", [2, 8])
def test_a_meter_that_is_not_made_is_refused(digits: int) -> None:
    """Three to seven digits."""
    with pytest.raises(ReadingError, match="digits"):
        HourMeter(digits=digits)


def test_time_never_runs_backwards() -> None:
    """The readings were given in the wrong order."""
    with pytest.raises(ReadingError, match="time between"):
        hours_between(Decimal(1), Decimal(2), passed_h=Decimal(-1), meter=FIVE)
