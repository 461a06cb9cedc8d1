"""What became of each planted fault: found or missed, and how it was called."""

from __future__ import annotations

from dataclasses import dataclass, replace

from voicecheck.observe.scenario import PlantedFault, expected_finding, is_critical
from voicecheck.observe.walked import Look, PointSeen, Walked, called_severity
from voicecheck.round.answers import Answer, Leak, LeakClass, Severity
from voicecheck.round.checklist import Checklist


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultResult:
    """One planted fault."""

    fault: PlantedFault
    zone: str
    severity: Severity
    """As planted: said in the scenario, or as the rules make it."""
    critical: bool
    found_at: str | None
    """The point where it was called; None: missed."""
    look: Look
    said: Answer | None
    """What the own record says there."""
    said_severity: Severity | None
    right_class: bool | None
    """Of a leak that was found: the class was right; None: not known."""

    @property
    def found(self) -> bool:
        """Tell whether it was found."""
        return self.found_at is not None


def fault_result(
    fault: PlantedFault, seen: Walked, checklist: Checklist
) -> FaultResult:
    """Return what became of a planted fault.

    It is found where it was called, at its own point or at one that the scenario
    lets count as well; what could not be checked is not found.
    """
    expected = expected_finding(checklist, fault)
    places = [seen.at(fault.checkpoint)]
    on_the_way = {point.checkpoint for point in seen.points}
    places += [seen.at(other) for other in fault.also_at if other in on_the_way]
    where = next((place for place in places if place.called), None)
    wanted = getattr(fault.expected, "leak_class", None)
    return FaultResult(
        fault=fault,
        zone=places[0].zone,
        severity=expected.severity,
        critical=is_critical(checklist, fault),
        found_at=where.checkpoint if where else None,
        look=places[0].look,
        said=(where or places[0]).said,
        said_severity=_said_severity(fault, where, checklist),
        right_class=_right_class(wanted, where),
    )


def _said_severity(
    fault: PlantedFault, where: PointSeen | None, checklist: Checklist
) -> Severity | None:
    """As said; of a leak that was only marked, what the rules make of its class."""
    if where is None or where.severity is not None or where.leak_class is None:
        return where.severity if where else None
    if not isinstance(fault.expected, Leak):
        return None
    said = replace(fault.expected, leak_class=where.leak_class)
    return called_severity(checklist, fault.checkpoint, said)


def _right_class(wanted: LeakClass | None, where: PointSeen | None) -> bool | None:
    if wanted is None or where is None:
        return None
    if where.leak_class is None and where.said is None:
        return None  # the marks do not say which class was called
    return where.leak_class is wanted
