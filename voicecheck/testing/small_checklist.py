"""A checklist of ten points that has every kind of answer, climb and rule."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from voicecheck.record.canonical import sha256_of
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Fault,
    Good,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    NotFitted,
    ReadingTaken,
    Reason,
    Severity,
    Yes,
)
from voicecheck.round.checklist import (
    Checklist,
    Checkpoint,
    CheckpointKind,
    Fluid,
    Outcome,
    Place,
    ReadingSpec,
    ReadingState,
    Rule,
    Zone,
)
from voicecheck.store.wire import checklist_to_text

_HOURS = ReadingSpec(
    quantity="duration",
    unit="h",
    plausible_min=Decimal(0),
    plausible_max=Decimal(99999),
)
_TYRE = ReadingSpec(
    quantity="pressure",
    unit="kPa",
    plausible_min=Decimal(0),
    plausible_max=Decimal(1000),
    far_low=Decimal(300),
    low=Decimal(400),
    high=Decimal(550),
    far_high=Decimal(650),
    decimals=0,
    limits_source="invented for tests",
)


def small_checklist() -> Checklist:
    """Return the checklist: ten points, four zones, three places."""
    unhashed = Checklist(
        name="small",
        version="1",
        title="Small walkaround",
        machine="small loader",
        fluids=(
            Fluid(id="engine_oil", name="engine oil", unit="L"),
            Fluid(id="fuel", name="fuel", unit="L"),
        ),
        zones=_zones(),
        rules=_rules(),
        declaration="I looked at every point myself.",
        cautions=("The machine's manual and a competent person come first.",),
        sha256="",
    )
    return replace(unhashed, sha256=sha256_of(checklist_to_text(unhashed)))


def good_answers() -> dict[str, Answer]:
    """Return answers to every point with which the machine may work."""
    return {
        "hour_meter": ReadingTaken(value=Decimal("4527.3")),
        "parked": Yes(),
        "nobody_near": Yes(),
        "left_tyre": ReadingTaken(value=Decimal(450)),
        "left_wheel": Good(),
        "leaks_below": Good(),
        "engine_oil": LevelSeen(level=Level.FULL),
        "belts": NotFitted(),
        "horn": Good(),
        "camera": Good(),
    }


def bad_answers() -> dict[str, Answer]:
    """Return answers with a finding of every kind but a start check."""
    return {
        **good_answers(),
        "left_tyre": ReadingTaken(value=Decimal(350)),
        "left_wheel": Defect(fault=Fault.LOOSE, severity=Severity.MAJOR),
        "leaks_below": Leak(fluid="fuel", leak_class=LeakClass.ONE),
        "engine_oil": LevelSeen(level=Level.LOW),
        "horn": CouldNotCheck(reason=Reason.UNSAFE),
    }


def _zones() -> tuple[Zone, ...]:
    start, condition = CheckpointKind.START, CheckpointKind.CONDITION
    return (
        _zone(
            "approach",
            Place.GROUND,
            (0.5, 0.05),
            _point("hour_meter", CheckpointKind.READING, reading=_HOURS),
            _point("parked", start, stop_text="Park it first."),
            _point("nobody_near", start, stop_text="Clear the area first."),
        ),
        _zone(
            "left_side",
            Place.GROUND,
            (0.1, 0.6),
            _point("left_tyre", CheckpointKind.READING, reading=_TYRE),
            _point("left_wheel", condition, tags=("wheels",)),
            _point("leaks_below", condition, fluids=("fuel",)),
        ),
        _zone(
            "engine",
            Place.PLATFORM,
            (0.5, 0.9),
            _point("engine_oil", CheckpointKind.LEVEL, level_of="engine_oil"),
            _point("belts", condition, may_be_absent=True),
        ),
        _zone(
            "cab",
            Place.CAB,
            (0.5, 0.5),
            _point("horn", CheckpointKind.FUNCTION, tags=("warning",)),
            _point("camera", CheckpointKind.FUNCTION, may_be_absent=True),
        ),
    )


def _zone(
    zone_id: str, place: Place, plan: tuple[float, float], *points: Checkpoint
) -> Zone:
    return Zone(
        id=zone_id,
        title=zone_id.replace("_", " "),
        place=place,
        from_station="a",
        to_station="a",
        plan_x=plan[0],
        plan_y=plan[1],
        checkpoints=tuple(replace(point, zone_id=zone_id) for point in points),
    )


def _point(point_id: str, kind: CheckpointKind, **more: Any) -> Checkpoint:
    title = point_id.replace("_", " ")
    return Checkpoint(
        id=point_id,
        zone_id="",
        kind=kind,
        prompt=f"{title}?",
        look=f"Look at the {title}.",
        wrong="It looks wrong.",
        why="It matters.",
        **more,
    )


def _rules() -> tuple[Rule, ...]:
    out = Outcome.OUT_OF_SERVICE
    return (
        _rule("start_check_no", out, answers=("no",)),
        _rule("critical", out, severity_at_least=Severity.CRITICAL),
        _rule("any_fuel_leak", out, answers=("leak",), fluids=("fuel",)),
        _rule("class_three", out, leak_class_at_least=LeakClass.THREE),
        _rule("empty", out, levels=(Level.EMPTY,)),
        _rule(
            "far_off",
            out,
            reading_states=(ReadingState.FAR_LOW, ReadingState.FAR_HIGH),
        ),
        _rule(
            "wheels_major",
            out,
            tags=("wheels",),
            severity_at_least=Severity.MAJOR,
        ),
        _rule("horn", out, answers=("defect",), checkpoints=("horn",)),
    )


def _rule(rule_id: str, outcome: Outcome, **more: Any) -> Rule:
    return Rule(
        id=rule_id,
        outcome=outcome,
        text=f"Rule {rule_id.replace('_', ' ')}.",
        source="invented for tests",
        **more,
    )
