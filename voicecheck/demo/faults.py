"""Faults that a large wheel loader may show, for the demo.

Invented data; what goes wrong where is common practice, no source.
"""

from __future__ import annotations

from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Fault,
    Leak,
    LeakClass,
    Reason,
    Severity,
)

_MINOR, _MAJOR, _CRITICAL = Severity
_ONE, _TWO, _THREE = LeakClass


def _defect(fault: Fault, severity: Severity) -> Answer:
    return Defect(fault=fault, severity=severity)


def _leak(fluid: str, leak_class: LeakClass) -> Answer:
    return Leak(fluid=fluid, leak_class=leak_class)


FAULTS: dict[str, tuple[Answer, ...]] = {
    "steering_cylinder_left": (_leak("hydraulic_oil", _ONE), _leak("grease", _ONE)),
    "left_front_tread": (_defect(Fault.CUT, _MINOR), _defect(Fault.WORN, _MINOR)),
    "right_front_sidewalls": (_defect(Fault.CUT, _MAJOR),),
    "left_rear_nuts": (_defect(Fault.LOOSE, _MAJOR), _defect(Fault.MISSING, _CRITICAL)),
    "right_rear_valve": (_defect(Fault.BENT, _MINOR), _defect(Fault.MISSING, _MINOR)),
    "bucket_welds": (_defect(Fault.CRACKED, _MAJOR),),
    "bucket_pins": (_defect(Fault.LOOSE, _MAJOR), _defect(Fault.WORN, _MINOR)),
    "cutting_edge": (_defect(Fault.WORN, _MINOR),),
    "bucket_teeth": (_defect(Fault.MISSING, _MINOR), _defect(Fault.WORN, _MINOR)),
    "loader_cylinders": (_leak("hydraulic_oil", _TWO), _leak("hydraulic_oil", _ONE)),
    "loader_lines": (_leak("hydraulic_oil", _THREE), _leak("hydraulic_oil", _TWO)),
    "front_lights": (_defect(Fault.BROKEN, _MINOR),),
    "driveline": (_leak("transmission_oil", _TWO), _leak("grease", _ONE)),
    "right_steps": (_defect(Fault.BENT, _MINOR), _defect(Fault.DIRTY, _MINOR)),
    "right_mirror": (_defect(Fault.CRACKED, _MINOR), _defect(Fault.DIRTY, _MINOR)),
    "right_fenders": (_defect(Fault.LOOSE, _MINOR),),
    "engine_belts": (_defect(Fault.WORN, _MINOR), _defect(Fault.CRACKED, _MAJOR)),
    "engine_lines": (_leak("engine_oil", _TWO), _leak("coolant", _ONE)),
    "engine_debris": (_defect(Fault.DIRTY, _MINOR),),
    "cooler_cores": (_defect(Fault.PLUGGED, _MINOR), _leak("coolant", _ONE)),
    "rear_lights": (_defect(Fault.NOT_WORKING, _MINOR),),
    "fuel_bowls": (_leak("fuel", _ONE), _defect(Fault.DIRTY, _MINOR)),
    "batteries": (_defect(Fault.CORRODED, _MINOR),),
    "hydraulic_tank": (_leak("hydraulic_oil", _ONE),),
    "windscreen": (_defect(Fault.CRACKED, _MINOR), _defect(Fault.DIRTY, _MINOR)),
    "wipers": (_defect(Fault.WORN, _MINOR),),
    "seat": (_defect(Fault.DAMAGED, _MINOR),),
    "horn": (_defect(Fault.NOT_WORKING, _MAJOR),),
    "work_lights": (_defect(Fault.NOT_WORKING, _MINOR),),
    "reverse_alarm": (_defect(Fault.NOT_WORKING, _CRITICAL),),
    "camera_picture": (_defect(Fault.DIRTY, _MINOR),),
}

UNSEEN: dict[str, tuple[Answer, ...]] = {
    "service_compartment": (CouldNotCheck(reason=Reason.NO_TOOL),),
    "pivot_grease": (CouldNotCheck(reason=Reason.TOO_DIRTY),),
    "fan_guard": (CouldNotCheck(reason=Reason.TOO_DARK),),
    "second_exit": (CouldNotCheck(reason=Reason.NO_ACCESS),),
}
