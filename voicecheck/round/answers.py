"""What can be answered at a checkpoint, as values that cannot be half finished."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Severity(StrEnum):
    """How bad a defect is, in the operator's words."""

    MINOR = "minor"
    MAJOR = "major"
    CRITICAL = "critical"

    @property
    def rank(self) -> int:
        """0 for minor … 2 for critical."""
        return list(Severity).index(self)


class LeakClass(StrEnum):
    """Fluid leak classes of US Army operator maintenance manuals.

    Source: for example TM 5-3895-383-24 section 1-10. I: wetness, no drops
    form. II: drops form but do not fall. III: drops form and fall.
    """

    ONE = "I"
    TWO = "II"
    THREE = "III"

    @property
    def rank(self) -> int:
        """0 for class I … 2 for class III."""
        return list(LeakClass).index(self)


class Level(StrEnum):
    """What a dipstick or sight glass shows."""

    FULL = "full"
    BETWEEN = "between"
    LOW = "low"
    EMPTY = "empty"


class Fault(StrEnum):
    """The kind of a defect."""

    CRACKED = "cracked"
    BENT = "bent"
    LOOSE = "loose"
    MISSING = "missing"
    WORN = "worn"
    DAMAGED = "damaged"
    CORRODED = "corroded"
    PLUGGED = "plugged"
    DIRTY = "dirty"
    CUT = "cut"
    BROKEN = "broken"
    NOT_WORKING = "not_working"
    NOISY = "noisy"


class Reason(StrEnum):
    """Why a checkpoint could not be checked."""

    NO_ACCESS = "no_access"
    TOO_DARK = "too_dark"
    TOO_DIRTY = "too_dirty"
    TOO_HOT = "too_hot"
    UNSAFE = "unsafe"
    NO_TOOL = "no_tool"


@dataclass(frozen=True, slots=True, kw_only=True)
class Yes:
    """A start check is satisfied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class No:
    """A start check is not satisfied: the walk stops."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Good:
    """Looked at, nothing wrong. Never assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Defect:
    """Something is wrong."""

    fault: Fault
    severity: Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Leak:
    """A fluid comes out."""

    fluid: str
    """Id of a fluid of the checklist."""
    leak_class: LeakClass


@dataclass(frozen=True, slots=True, kw_only=True)
class NotFitted:
    """This machine has no such part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CouldNotCheck:
    """The point was reached but could not be looked at."""

    reason: Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelSeen:
    """A level on a stick or glass."""

    level: Level


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingTaken:
    """A number read off the machine, in the unit of the checkpoint."""

    value: Decimal


Answer = (
    Yes
    | No
    | Good
    | Defect
    | Leak
    | NotFitted
    | CouldNotCheck
    | LevelSeen
    | ReadingTaken
)
