"""Hour meters: hours between two readings, rollover, and what cannot be.

All arithmetic is in whole steps of the meter, so no tenth is ever lost.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from voicecheck.readings.errors import ReadingError

__all__ = [
    "CAUTION",
    "HourMeter",
    "HoursBetween",
    "MeterFlag",
    "forward",
    "hours_between",
]

CAUTION = (
    "A flagged figure is not used until somebody has read the meter again or "
    "found out about it: a digit misread, a meter changed, or one that stopped."
)


class MeterFlag(StrEnum):
    """What two readings say together."""

    PLAUSIBLE = "plausible"
    ROLLED_OVER = "rolled_over"
    """It passed its last number and began again; the hours are right."""
    STOOD_STILL = "stood_still"
    """No hours: right for a parked machine, else the meter has stopped."""
    JUMPED = "jumped"
    """More hours than have passed."""
    WENT_BACK = "went_back"
    """It shows less, and a rollover does not explain it."""
    AMBIGUOUS = "ambiguous"
    """So much time has passed that it may have gone round, even more than once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HourMeter:
    """How many digits a meter has."""

    digits: int = 5
    """Before the point, 3 to 7."""
    tenths: bool = True

    def __post_init__(self) -> None:
        """Refuse a meter that is not made."""
        if not 3 <= self.digits <= 7:
            raise ReadingError("digits of the meter", self.digits, "3 to 7")

    @property
    def step_h(self) -> Decimal:
        """Return what the last digit counts."""
        return Decimal("0.1") if self.tenths else Decimal(1)

    @property
    def rolls_over_at(self) -> int:
        """Return the number of steps after which it shows zero again."""
        return int(10 ** (self.digits + int(self.tenths)))

    def steps(self, reading_h: Decimal) -> int:
        """Return a reading in whole steps.

        Raises:
            ReadingError: this meter cannot show it.
        """
        highest = (self.rolls_over_at - 1) * self.step_h
        fits = reading_h.is_finite() and 0 <= reading_h <= highest
        if not fits or reading_h % self.step_h:
            tenths = "with at most one decimal" if self.tenths else "in whole hours"
            raise ReadingError(
                "hour meter", reading_h, f"0 to {highest} h {tenths}, as it shows"
            )
        return int(reading_h / self.step_h)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursBetween:
    """Hours worked between two readings."""

    hours_h: Decimal | None
    """None: the readings do not tell."""
    flag: MeterFlag

    @property
    def trusted(self) -> bool:
        """Return whether the hours may be counted without asking."""
        return self.flag in {
            MeterFlag.PLAUSIBLE,
            MeterFlag.ROLLED_OVER,
            MeterFlag.STOOD_STILL,
        }


def forward(previous: int, current: int, modulus: int) -> int:
    """Return how far a counter ran forward, going round at most once.

    Args:
        previous: earlier count, 0 to modulus - 1.
        current: later count, 0 to modulus - 1.
        modulus: the count at which it shows zero again.

    Source:
        Serial number arithmetic as in RFC 1982, 3.1: sums modulo the size.
    """
    return (current - previous) % modulus


def hours_between(
    previous_h: Decimal, current_h: Decimal, *, passed_h: Decimal, meter: HourMeter
) -> HoursBetween:
    """Return the hours worked, checked against the hours of the calendar.

    Args:
        previous_h: earlier reading.
        current_h: later reading.
        passed_h: hours of the calendar from one to the other.
        meter: its digits.

    Raises:
        ReadingError: the meter cannot show a reading, or time runs backwards.

    Source:
        No machine works more hours than have passed; two steps are granted for
        reading between digits. Common practice, no source.
    """
    if not passed_h.is_finite() or passed_h < 0:
        raise ReadingError("time between the readings", passed_h, "0 hours or more")
    before, after = meter.steps(previous_h), meter.steps(current_h)
    ran = forward(before, after, meter.rolls_over_at)
    allowed = int(passed_h / meter.step_h) + 2
    if ran + meter.rolls_over_at <= allowed:
        return HoursBetween(hours_h=None, flag=MeterFlag.AMBIGUOUS)
    hours_h = ran * meter.step_h
    if ran > allowed:
        if after < before:
            return HoursBetween(hours_h=None, flag=MeterFlag.WENT_BACK)
        return HoursBetween(hours_h=hours_h, flag=MeterFlag.JUMPED)
    if ran == 0:
        return HoursBetween(hours_h=hours_h, flag=MeterFlag.STOOD_STILL)
    flag = MeterFlag.ROLLED_OVER if after < before else MeterFlag.PLAUSIBLE
    return HoursBetween(hours_h=hours_h, flag=flag)
