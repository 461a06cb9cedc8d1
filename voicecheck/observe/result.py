"""What a watched walk showed, in figures, each with how sure it is.

    planted faults   found or missed, and whether they were called rightly
    false alarms     faults called where there is none
    detection        sensitivity d' and criterion c
    misses           whether the planted faults tell enough, and how many would
    coverage         share of points that were looked at properly
    order            Kendall's tau, and the steps that differ
    times            of each zone, beside a reference
    severity         agreement with the assessor

A result is a function of the observation's events and the checklist: working it
out again gives the same.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.errors import ObserveError
from voicecheck.observe.criteria import Criteria
from voicecheck.observe.faults import FaultResult, fault_result
from voicecheck.observe.marks import Mark, MarkKind, UnsafeAct
from voicecheck.observe.observation import Doubt, DoubtKind, Observation
from voicecheck.observe.scenario import (
    Scenario,
    problems,
)
from voicecheck.observe.seal import SealState, check, opened
from voicecheck.observe.times import ZoneTimes, zone_times
from voicecheck.observe.walked import (
    Basis,
    PointSeen,
    Walked,
    walked,
)
from voicecheck.round.answers import Severity
from voicecheck.round.checklist import Checklist
from voicecheck.statistics.agreement import (
    Kappa,
    Weights,
    agreement_table,
    weighted_kappa,
)
from voicecheck.statistics.detection import Detection, detection
from voicecheck.statistics.ordering import Edits, edit_steps, kendall
from voicecheck.statistics.proportions import (
    MissVerdict,
    Share,
    judge_misses,
    share_of,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """The order walked, beside the order of the checklist."""

    basis: Basis
    points: int
    """How many points it is taken from."""
    tau: float | None
    zone_tau: float | None
    edits: Edits[str]
    """By points; points that were not walked are missing in it."""
    zone_edits: Edits[str]
    marked: tuple[str, ...]
    """Points that the assessor marked as out of order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsafeSeen:
    """One unsafe act."""

    act: UnsafeAct
    at_utc: str
    checkpoint: str | None
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """All of it."""

    observation: Observation
    scenario: Scenario
    criteria: Criteria
    seal: SealState
    walked: Walked
    faults: tuple[FaultResult, ...]
    false_alarms: tuple[PointSeen, ...]
    found: Share
    false_alarm: Share
    detection: Detection | None
    misses: MissVerdict
    coverage: Share
    order: Order
    times: ZoneTimes
    severity: Kappa
    unsafe: tuple[UnsafeSeen, ...]
    doubts: tuple[Doubt, ...]


def result(observation: Observation, checklist: Checklist) -> Result:
    """Work out what a walk showed.

    Raises:
        ObserveError: it has not ended, its seal was not opened, or the checklist
            is another one.
    """
    scenario, criteria = _opened(observation)
    wrong = problems(scenario, checklist)
    if wrong:
        raise ObserveError("; ".join(wrong))
    seen = walked(observation, checklist, scenario)
    faults = tuple(fault_result(one, seen, checklist) for one in scenario.planted)
    trials = _noise_trials(observation, seen, scenario)
    alarms = tuple(point for point in trials if point.called)
    found = sum(fault.found for fault in faults)
    certainty = criteria.certainty
    return Result(
        observation=observation,
        scenario=scenario,
        criteria=criteria,
        seal=check(observation),
        walked=seen,
        faults=faults,
        false_alarms=alarms,
        found=share_of(found, len(faults), certainty),
        false_alarm=share_of(len(alarms), len(trials), certainty),
        detection=detection(found, len(faults), len(alarms), len(trials), certainty),
        misses=judge_misses(
            len(faults) - found,
            len(faults),
            allowed_share=criteria.allowed_miss_share,
            certainty=certainty,
        ),
        coverage=share_of(
            sum(point.look.proper for point in seen.points),
            len(seen.points),
            certainty,
        ),
        order=_order(seen),
        times=zone_times(seen, checklist, scenario),
        severity=_severity(faults, certainty),
        unsafe=_unsafe(observation.marks),
        doubts=(*observation.doubts, *_doubts(observation, seen)),
    )


def _opened(observation: Observation) -> tuple[Scenario, Criteria]:
    if observation.ended is None:
        raise ObserveError("this walk has not ended yet; end it first")
    if observation.opened is None:
        raise ObserveError("the seal was not opened yet; end the walk with its seal")
    try:
        document = opened(observation.opened.sealed)
    except ValueError as error:
        raise ObserveError(f"what was opened is no sealed scenario: {error}") from error
    return document.scenario, document.criteria


def _noise_trials(
    observation: Observation, seen: Walked, scenario: Scenario
) -> tuple[PointSeen, ...]:
    """Points without a fault that were walked: the trials for false alarms."""
    no_trial = set(scenario.known_faults)
    for fault in scenario.planted:
        no_trial |= {fault.checkpoint, *fault.also_at}
    no_trial |= {
        mark.checkpoint
        for mark in observation.marks
        if mark.kind is MarkKind.REAL_FAULT and mark.checkpoint
    }
    return tuple(
        point
        for point in seen.points
        if point.detectable and point.walked and point.checkpoint not in no_trial
    )


def _order(seen: Walked) -> Order:
    expected = [point.checkpoint for point in seen.points]
    visits = [visit.checkpoint for visit in seen.visits]
    zones = list(dict.fromkeys(point.zone for point in seen.points))
    entered: list[str] = []
    for visit in seen.visits:
        if not entered or entered[-1] != visit.zone:
            entered.append(visit.zone)
    return Order(
        basis=seen.order_basis,
        points=len(visits),
        tau=kendall(expected, visits),
        zone_tau=kendall(zones, entered),
        edits=edit_steps(expected, visits),
        zone_edits=edit_steps(zones, entered),
        marked=tuple(p.checkpoint for p in seen.points if p.out_of_order),
    )


def _severity(faults: tuple[FaultResult, ...], confidence: float) -> Kappa:
    """Agreement on how severe the found faults are; rows: as planted."""
    pairs = [
        (fault.severity.rank, fault.said_severity.rank)
        for fault in faults
        if fault.said_severity is not None
    ]
    table = agreement_table(pairs, len(Severity))
    return weighted_kappa(table, Weights.LINEAR, confidence)


def _unsafe(marks: tuple[Mark, ...]) -> tuple[UnsafeSeen, ...]:
    return tuple(
        UnsafeSeen(
            act=mark.act or UnsafeAct.OTHER,
            at_utc=mark.when_utc,
            checkpoint=mark.checkpoint,
            note=mark.note,
        )
        for mark in marks
        if mark.kind is MarkKind.UNSAFE
    )


def _doubts(observation: Observation, seen: Walked) -> tuple[Doubt, ...]:
    """What the assessor should look at again."""
    found = []
    on_the_way = {point.checkpoint: point for point in seen.points}
    for mark in observation.marks:
        if mark.checkpoint is None:
            continue
        point = on_the_way.get(mark.checkpoint)
        if point is None:
            found.append(Doubt(kind=DoubtKind.NOT_ON_THE_WAY, detail=mark.checkpoint))
        elif mark.kind is MarkKind.CALLED and not point.called:
            found.append(Doubt(kind=DoubtKind.NOT_RECORDED, detail=mark.checkpoint))
    ended = observation.ended
    late = [m for m in observation.marks if ended and m.when_utc > ended.at_utc]
    if late:
        found.append(Doubt(kind=DoubtKind.AFTER_THE_END, detail=str(len(late))))
    return tuple(dict.fromkeys(found))
