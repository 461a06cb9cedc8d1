"""A watched walk on the small checklist, small enough to be worked out by hand.

Ten points; faults planted at the left wheel (loose, major), below (fuel, class I)
and at the engine oil (low). The trainee finds the wheel and calls it minor, finds
the leak, misses the oil, and calls the camera defective, which is good.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from uuid import UUID

from voicecheck.clock import utc_text
from voicecheck.observe.criteria import Criteria, default_criteria
from voicecheck.observe.events import Begun, Ended, ObserveEvent, Opened
from voicecheck.observe.marks import Mark, MarkKind, UnsafeAct
from voicecheck.observe.observation import Observation, fold
from voicecheck.observe.scenario import PlantedFault, ReferenceTimes, Scenario
from voicecheck.observe.seal import Sealed, seal
from voicecheck.round.answers import (
    Defect,
    Fault,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    Severity,
)
from voicecheck.round.checklist import Checklist

OBSERVATION = UUID(int=1)
START = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)
ASSESSOR, TRAINEE = "C.Poe", "J.Doe"
WAY = (
    "hour_meter",
    "parked",
    "nobody_near",
    "left_tyre",
    "left_wheel",
    "leaks_below",
    "engine_oil",
    "belts",
    "horn",
    "camera",
)


def at(seconds: float) -> str:
    """Return a time so long after the start."""
    return utc_text(START + timedelta(seconds=seconds))


def scenario(checklist: Checklist) -> Scenario:
    """Return the scenario: three faults, one of them critical (fuel)."""
    return Scenario(
        title="Three faults",
        checklist=checklist.name,
        checklist_version=checklist.version,
        checklist_sha256=checklist.sha256,
        planted=(
            PlantedFault(
                checkpoint="left_wheel",
                expected=Defect(fault=Fault.LOOSE, severity=Severity.MINOR),
                tag="yellow tag on the nut at two o'clock",
            ),
            PlantedFault(
                checkpoint="leaks_below",
                expected=Leak(fluid="fuel", leak_class=LeakClass.ONE),
                described="a photograph of a wet spot",
            ),
            PlantedFault(
                checkpoint="engine_oil",
                expected=LevelSeen(level=Level.LOW),
                described="a dipstick, wet below the mark",
            ),
        ),
        reference=ReferenceTimes(source="M.Roe, 2 March", zones={"left_side": 45.0}),
    )


def sealed(checklist: Checklist, criteria: Criteria | None = None) -> Sealed:
    """Return the scenario, sealed an hour before the walk."""
    return seal(
        scenario(checklist),
        criteria or default_criteria(),
        at=START - timedelta(hours=1),
        salt=bytes(range(32)),
    )


def begun(checklist: Checklist, closed: Sealed) -> Begun:
    """Return the beginning of the observation."""
    return Begun(
        key=UUID(int=900),
        observation=OBSERVATION,
        at_utc=at(0),
        by=ASSESSOR,
        trainee=TRAINEE,
        unit="L-12",
        checklist=checklist.name,
        checklist_version=checklist.version,
        checklist_sha256=checklist.sha256,
        commitment=closed.commitment,
    )


def mark(
    number: int,
    kind: MarkKind,
    seconds: float,
    point: str | None = None,
    *,
    act: UnsafeAct | None = None,
    severity: Severity | None = None,
    leak_class: LeakClass | None = None,
) -> Mark:
    """Return a mark."""
    return Mark(
        key=UUID(int=number),
        observation=OBSERVATION,
        kind=kind,
        at_utc=at(seconds),
        by=ASSESSOR,
        checkpoint=point,
        act=act,
        severity=severity,
        leak_class=leak_class,
    )


def ending(
    closed: Sealed, seconds: float = 120, reason: str = ""
) -> list[ObserveEvent]:
    """Return the end of the walk and the opened seal."""
    return [
        Ended(
            key=UUID(int=901),
            observation=OBSERVATION,
            at_utc=at(seconds),
            by=ASSESSOR,
            reason=reason,
        ),
        Opened(
            key=UUID(int=902),
            observation=OBSERVATION,
            at_utc=at(seconds + 1),
            by=ASSESSOR,
            sealed=closed.document,
        ),
    ]


def marks() -> list[Mark]:
    """Return marks every ten seconds: two zones swapped, belts missed.

    The order walked is approach, engine, left side, cab; the horn was glanced at.
    """
    order = (
        "hour_meter",
        "parked",
        "nobody_near",
        "engine_oil",
        "left_tyre",
        "left_wheel",
        "leaks_below",
        "horn",
        "camera",
    )
    made = [
        mark(
            place,
            MarkKind.GLANCED if point == "horn" else MarkKind.LOOKED,
            10.0 * place,
            point,
        )
        for place, point in enumerate(order, start=1)
    ]
    called, minor = MarkKind.CALLED, Severity.MINOR
    return [
        *made,
        mark(21, MarkKind.MISSED, 45, "belts"),
        mark(22, called, 62, "left_wheel", severity=minor),
        mark(23, called, 72, "leaks_below", leak_class=LeakClass.TWO),
        mark(24, called, 92, "camera", severity=minor),
    ]


def watched(
    checklist: Checklist,
    extra: Iterable[ObserveEvent] = (),
    criteria: Criteria | None = None,
    reason: str = "",
) -> Observation:
    """Return the whole observation."""
    closed = sealed(checklist, criteria)
    return fold(
        OBSERVATION,
        [begun(checklist, closed), *marks(), *extra, *ending(closed, reason=reason)],
    )
