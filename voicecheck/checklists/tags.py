"""What checkpoints can be tagged with, so that shared rules match on it."""

from __future__ import annotations

from enum import StrEnum


class Tag(StrEnum):
    """The closed set of tags. Rules match on them, never on their order."""

    START = "start"
    """Before the machine is touched: every start check."""
    SAFETY = "safety"
    """A point that keeps people safe and has no tag of its own."""
    BRAKES = "brakes"
    STEERING = "steering"
    SECONDARY_STEERING = "secondary_steering"
    SEAT_BELT = "seat_belt"
    ROPS = "rops"
    """Roll over protective structure."""
    HORN = "horn"
    REVERSE_ALARM = "reverse_alarm"
    WHEELS = "wheels"
    WHEEL_FIXING = "wheel_fixing"
    """Rims, flanges and nuts: no defect is small."""
    TYRE_PRESSURE = "tyre_pressure"
    FUEL = "fuel"
    WINDOWS = "windows"
    FIRE_EXTINGUISHER = "fire_extinguisher"
    VITAL_LEVEL = "vital_level"
    """A level below its mark stops the machine until it is refilled."""
    SUPPLY_LEVEL = "supply_level"
    """A tank that is used up: low is a defect, empty stops the machine."""
    AIR_INTAKE = "air_intake"
    HOUR_METER = "hour_meter"


NEED_OUT_OF_SERVICE = (
    Tag.START,
    Tag.BRAKES,
    Tag.STEERING,
    Tag.SEAT_BELT,
    Tag.ROPS,
    Tag.HORN,
    Tag.REVERSE_ALARM,
    Tag.WHEELS,
    Tag.FUEL,
)
"""Tags of which the worst answer must put the machine out of service."""

MANDATORY = (
    Tag.BRAKES,
    Tag.STEERING,
    Tag.SEAT_BELT,
    Tag.ROPS,
    Tag.HORN,
    Tag.REVERSE_ALARM,
)
"""Tags of parts that must be fitted: "not fitted" is no answer there."""
