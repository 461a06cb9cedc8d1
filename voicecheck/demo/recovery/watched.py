"""A walk of a simulated trainee, watched by an assessor who sees everything."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from voicecheck.clock import utc_text
from voicecheck.demo.faults import FAULTS
from voicecheck.demo.recovery import truths
from voicecheck.demo.recovery.recovered import Figure
from voicecheck.demo.recovery.trainee import Trainee, Weaknesses
from voicecheck.errors import UsageError
from voicecheck.observe.criteria import default_criteria
from voicecheck.observe.events import Begun, Ended, ObserveEvent, Opened
from voicecheck.observe.marks import Mark, MarkKind
from voicecheck.observe.observation import fold
from voicecheck.observe.result import Result, result
from voicecheck.observe.scenario import PlantedFault, Scenario, expected_finding
from voicecheck.observe.seal import seal
from voicecheck.round.answers import Severity
from voicecheck.round.checklist import Checklist, CheckpointKind

PLANTED = 12
START = datetime(2026, 2, 4, 7, tzinfo=UTC)
TRAINEE, ASSESSOR, UNIT = "J.Doe", "M.Roe", "L-12"
_A_LOOK = timedelta(seconds=15)


def watch(checklist: Checklist, trainee: Trainee) -> tuple[ObserveEvent, ...]:
    """Plant faults, seal them, and mark what the trainee does, from first to last.

    The trainee walks in silence: only the assessor's marks tell.
    """
    scenario = planted(checklist, trainee)
    sealed = seal(scenario, default_criteria(), at=START, salt=trainee.salt())
    walk = trainee.key()
    at = START + timedelta(minutes=5)

    def head(when: datetime) -> dict[str, Any]:
        key = trainee.key()
        when_utc = utc_text(when)
        return {"key": key, "observation": walk, "at_utc": when_utc, "by": ASSESSOR}

    events: list[ObserveEvent] = [
        Begun(
            **head(at),
            trainee=TRAINEE,
            unit=UNIT,
            checklist=checklist.name,
            checklist_version=checklist.version,
            checklist_sha256=checklist.sha256,
            commitment=sealed.commitment,
        )
    ]
    for zone in trainee.order(checklist.zones):
        for point in zone.checkpoints:
            at += _A_LOOK
            fault = scenario.at(point.id)
            looks = trainee.looks()
            kind = MarkKind.LOOKED if looks else MarkKind.MISSED
            events.append(Mark(**head(at), kind=kind, checkpoint=point.id))
            if point.kind is CheckpointKind.START or not looks:
                continue
            if trainee.calls_wrong(fault is not None):
                severity = _said(checklist, fault, trainee)
                call = head(at + timedelta(seconds=5))
                events.append(
                    Mark(
                        **call,
                        kind=MarkKind.CALLED,
                        checkpoint=point.id,
                        severity=severity,
                    )
                )
    events.append(Ended(**head(at + timedelta(minutes=1))))
    events.append(
        Opened(**head(at + timedelta(minutes=1)), sealed=dict(sealed.document))
    )
    return tuple(events)


def planted(checklist: Checklist, trainee: Trainee) -> Scenario:
    """Return a described scenario: some of the faults of the demo.

    Raises:
        UsageError: the demo knows too few faults of such a machine.
    """
    known = {point.id for point in checklist.checkpoints}
    possible = [name for name in FAULTS if name in known]
    if len(possible) < PLANTED:
        raise UsageError(
            f"the demo knows {len(possible)} faults for {checklist.name} and plants "
            f"{PLANTED}; give --checklist wheel-loader"
        )
    places = trainee.sample(possible, PLANTED)
    return Scenario(
        title="Stonefold Quarry, practice walk",
        checklist=checklist.name,
        checklist_version=checklist.version,
        checklist_sha256=checklist.sha256,
        planted=tuple(
            PlantedFault(
                checkpoint=name,
                expected=trainee.pick(FAULTS[name]),
                described="A photo shows it at the machine.",
            )
            for name in places
        ),
    )


def severities(checklist: Checklist) -> Mapping[Severity, float]:
    """Return how often each severity is planted."""
    spread = dict.fromkeys(Severity, 0.0)
    known = {point.id for point in checklist.checkpoints}
    for name, answers in FAULTS.items():
        for answer in answers if name in known else ():
            fault = PlantedFault(checkpoint=name, expected=answer)
            spread[expected_finding(checklist, fault).severity] += 1 / len(answers)
    return spread


def watched(checklist: Checklist, weak: Weaknesses, seed: int) -> Result:
    """Watch a trainee of one seed; return what is told of it."""
    events = watch(checklist, Trainee(weak, seed))
    return result(fold(events[0].observation, events), checklist)


def walk_figures(
    checklist: Checklist, weak: Weaknesses, found: Result
) -> Iterator[Figure]:
    """Yield each figure of a walk beside its truth."""
    seen = found.detection
    yield Figure(
        name="planted faults found",
        truth=truths.walked_hit_rate(weak),
        value=found.found.value,
        interval=found.found.interval,
    )
    yield Figure(
        name="false alarms",
        truth=truths.false_alarm_rate(weak),
        value=found.false_alarm.value,
        interval=found.false_alarm.interval,
    )
    yield Figure(
        name="sensitivity d'",
        truth=truths.walked_d_prime(weak),
        value=seen.d_prime if seen else None,
        interval=seen.d_prime_interval if seen else None,
    )
    yield Figure(
        name="criterion c",
        truth=truths.walked_criterion(weak),
        value=seen.criterion if seen else None,
        interval=seen.criterion_interval if seen else None,
    )
    yield Figure(
        name="points looked at",
        truth=1 - weak.passes_by,
        value=found.coverage.value,
        interval=found.coverage.interval,
    )
    yield Figure(
        name="severity, kappa",
        truth=truths.severity_kappa(weak, severities(checklist)),
        value=found.severity.value,
        interval=found.severity.interval,
    )
    yield Figure(
        name="order of zones, tau",
        truth=truths.order_tau(weak, len(checklist.zones)),
        value=found.order.zone_tau,
        interval=None,
    )


def _said(
    checklist: Checklist, fault: PlantedFault | None, trainee: Trainee
) -> Severity:
    if fault is None:
        return Severity.MINOR
    return trainee.severity(expected_finding(checklist, fault).severity)
