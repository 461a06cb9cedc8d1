"""What an assessor planted for a walk, and whether it fits the checklist."""

from __future__ import annotations

from dataclasses import dataclass, field

from voicecheck.errors import UsageError
from voicecheck.round.answers import Answer, Severity
from voicecheck.round.checklist import Checklist, Checkpoint, CheckpointKind, Outcome
from voicecheck.round.decision import Finding, FindingKind, findings
from voicecheck.round.probing import problem_with


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantedFault:
    """A fault that the trainee is to find."""

    checkpoint: str
    expected: Answer
    """The answer that is right, with kind, severity or leak class."""
    tag: str = ""
    """On a real machine: where the tag hangs and what it says."""
    described: str = ""
    """Without one: what the trainee is told or shown there."""
    also_at: tuple[str, ...] = ()
    """Other points where calling it counts as found."""
    critical: bool = False
    """Critical for this assessor, whatever the rules say of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceTimes:
    """How long somebody who knows the walk takes for each zone, in seconds."""

    source: str
    """Whose walk it was, or where the times come from."""
    zones: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """All that was planted on one unit."""

    title: str
    checklist: str
    checklist_version: str
    checklist_sha256: str
    planted: tuple[PlantedFault, ...]
    known_faults: tuple[str, ...] = ()
    """Points where something is really wrong: no trial of either kind."""
    left_out: tuple[str, ...] = ()
    """Points that cannot be walked today, such as those of a climb."""
    reference: ReferenceTimes | None = None

    def at(self, checkpoint: str) -> PlantedFault | None:
        """Return the fault that was planted at a point, or None."""
        return next((p for p in self.planted if p.checkpoint == checkpoint), None)


def expected_finding(checklist: Checklist, fault: PlantedFault) -> Finding:
    """Return what the rules make of a planted fault.

    Raises:
        UsageError: its answer is no finding, so there is nothing to find.
    """
    found = findings(checklist, {fault.checkpoint: fault.expected})
    if not found:
        raise UsageError(
            f"{fault.checkpoint}: the expected answer is no finding; plant a defect, "
            "a leak, a low level or a reading out of its limits"
        )
    return found[0]


def is_critical(checklist: Checklist, fault: PlantedFault) -> bool:
    """Tell whether missing this fault fails at once.

    It does when its severity is critical, when it alone puts the machine out of
    service, or when the assessor says so.
    """
    found = expected_finding(checklist, fault)
    return (
        fault.critical
        or found.severity is Severity.CRITICAL
        or found.outcome is Outcome.OUT_OF_SERVICE
    )


def problems(scenario: Scenario, checklist: Checklist) -> tuple[str, ...]:
    """Return everything that does not fit, one sentence each; empty: all is well."""
    named = (scenario.checklist, scenario.checklist_version, scenario.checklist_sha256)
    if named != (checklist.name, checklist.version, checklist.sha256):
        return (
            f"the scenario is for {scenario.checklist} {scenario.checklist_version} "
            f"({scenario.checklist_sha256[:12]}), not this {checklist.name} "
            f"{checklist.version} ({checklist.sha256[:12]}); plan it again",
        )
    points = {point.id: point for point in checklist.checkpoints}
    found = [] if scenario.planted else ["nothing is planted; plant one fault or more"]
    taken: set[str] = set()
    for fault in scenario.planted:
        if fault.checkpoint in taken:
            found.append(f"{fault.checkpoint}: planted twice; leave one of them out")
        taken.add(fault.checkpoint)
        found += _fault_problems(fault, points, checklist, scenario)
    for name in (*scenario.known_faults, *scenario.left_out):
        if name not in points:
            found.append(f"{name}: the checklist has no such point")
    zones = {zone.id for zone in checklist.zones}
    if scenario.reference is not None:
        found += _reference_problems(scenario.reference, zones)
    return tuple(found)


def _fault_problems(
    fault: PlantedFault,
    points: dict[str, Checkpoint],
    checklist: Checklist,
    scenario: Scenario,
) -> list[str]:
    name, point = fault.checkpoint, points.get(fault.checkpoint)
    if point is None:
        return [f"{name}: the checklist has no such point"]
    if point.kind is CheckpointKind.START:
        return [f"{name}: a start check ends the walk; plant nothing there"]
    misfit = problem_with(checklist, point, fault.expected)
    if misfit is not None:
        return [misfit]
    found = []
    made = findings(checklist, {name: fault.expected})
    if not made or made[0].kind is FindingKind.NOT_CHECKED:
        found.append(f"{name}: the expected answer is nothing that can be found")
    if not fault.tag and not fault.described:
        found.append(f"{name}: say where its tag hangs, or describe it")
    if fault.tag and fault.described:
        found.append(f"{name}: a tag on the machine or a description, not both")
    for other in fault.also_at:
        if other not in points or other == name:
            found.append(f"{name}: also_at: {other!r} is no other point")
        elif scenario.at(other) is not None:
            found.append(f"{name}: also_at: something else is planted at {other}")
    if name in scenario.known_faults or name in scenario.left_out:
        found.append(f"{name}: planted, and also known or left out")
    return found


def _reference_problems(reference: ReferenceTimes, zones: set[str]) -> list[str]:
    found = [] if reference.source else ["reference: say whose times these are"]
    for zone, seconds in reference.zones.items():
        if zone not in zones:
            found.append(f"reference: {zone}: the checklist has no such zone")
        elif seconds <= 0:
            found.append(f"reference: {zone}: a time is more than 0 s")
    return found
