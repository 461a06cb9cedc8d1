"""What follows from a result by the criteria, with the reasons.

The criteria propose; the assessor, a competent person, decides and signs.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from voicecheck.observe.criteria import Criterion, CriticalPoint, Measure
from voicecheck.observe.marks import UnsafeAct
from voicecheck.observe.result import Result
from voicecheck.observe.seal import SealState
from voicecheck.observe.walked import Look
from voicecheck.statistics.interval import Interval
from voicecheck.statistics.proportions import faults_needed

MOST_ASKED = 0.999
"""Nobody plants the thousands of faults that would show more."""


class Standing(StrEnum):
    """How one criterion, or the whole, stands."""

    MET = "met"
    NOT_MET = "not_met"
    CANNOT_TELL = "cannot_tell"

    @property
    def rank(self) -> int:
        """0 for met … 2 for not met, which no doubt can mend."""
        order = (Standing.MET, Standing.CANNOT_TELL, Standing.NOT_MET)
        return order.index(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class CriterionResult:
    """One criterion."""

    criterion: Criterion
    standing: Standing
    value: float | None
    trials: int
    interval: Interval | None
    sure: bool | None
    """The whole interval keeps the bound, or none of it; None: no interval."""
    needed: int | None
    """For planted faults: how many would show this bound with certainty, with as
    many missed as now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CriticalResult:
    """Something that fails at once, and whether it happened."""

    point: CriticalPoint
    happened: bool
    where: tuple[str, ...] = ()
    """Points, or notes, where it did."""
    unknown: tuple[str, ...] = ()
    """Points of which nobody said whether they were looked at."""

    @property
    def standing(self) -> Standing:
        """Silence is no "good": what nobody saw cannot be met."""
        if self.happened:
            return Standing.NOT_MET
        return Standing.CANNOT_TELL if self.unknown else Standing.MET


@dataclass(frozen=True, slots=True, kw_only=True)
class Decided:
    """The proposal with all that it rests on."""

    standing: Standing
    measures: tuple[CriterionResult, ...]
    critical: tuple[CriticalResult, ...]
    seal: SealState
    broken_off: bool

    @property
    def failed_at_once(self) -> tuple[CriticalResult, ...]:
        """The critical points that happened."""
        return tuple(one for one in self.critical if one.happened)


def decide(result: Result) -> Decided:
    """Weigh a result by its criteria.

    A critical point fails whatever else was shown. A broken seal or a walk that
    was broken off can never be met: then nothing can be told, or it is not met.
    """
    measures = tuple(_measured(one, result) for one in result.criteria.measures)
    critical = tuple(_critical(one, result) for one in result.criteria.critical)
    ended = result.observation.ended
    broken_off = ended is None or bool(ended.reason)
    standings = [one.standing for one in measures]
    standings += [one.standing for one in critical]
    if result.seal is not SealState.HOLDS or broken_off or not measures:
        standings.append(Standing.CANNOT_TELL)
    return Decided(
        standing=max(standings, key=lambda one: one.rank),
        measures=measures,
        critical=critical,
        seal=result.seal,
        broken_off=broken_off,
    )


def _measured(criterion: Criterion, result: Result) -> CriterionResult:
    value, trials, interval = _value(criterion.measure, result)
    if value is None or trials < criterion.least_trials:
        standing = Standing.CANNOT_TELL
    else:
        standing = Standing.MET if criterion.met(value) else Standing.NOT_MET
    sure = None
    if interval is not None:
        sure = criterion.met(interval.low) == criterion.met(interval.high)
    return CriterionResult(
        criterion=criterion,
        standing=standing,
        value=value,
        trials=trials,
        interval=interval,
        sure=sure,
        needed=_needed(criterion, result),
    )


def _value(
    measure: Measure, result: Result
) -> tuple[float | None, int, Interval | None]:
    match measure:
        case Measure.PLANTED_FOUND:
            share = result.found
        case Measure.COVERAGE:
            share = result.coverage
        case Measure.FALSE_ALARMS:
            share = result.false_alarm
        case Measure.ORDER:
            return result.order.tau, result.order.points, None
        case Measure.UNSAFE_ACTS:
            return float(len(result.unsafe)), len(result.walked.points), None
    return share.value, share.of, share.interval


def _needed(criterion: Criterion, result: Result) -> int | None:
    bound = criterion.at_least
    if criterion.measure is not Measure.PLANTED_FOUND or bound is None:
        return None
    if not 0 < bound <= MOST_ASKED:
        return None
    return faults_needed(1 - bound, result.criteria.certainty, result.misses.missed)


def _critical(point: CriticalPoint, result: Result) -> CriticalResult:
    where: list[str] = []
    if point.act is not None:
        where += [
            act.checkpoint or act.note or act.at_utc
            for act in result.unsafe
            if act.act is point.act and act.act is not UnsafeAct.OTHER
        ]
    where += [
        seen.checkpoint
        for seen in result.walked.points
        if seen.checkpoint in point.missed and seen.look is Look.MISSED
    ]
    if point.planted_critical:
        where += [
            fault.fault.checkpoint
            for fault in result.faults
            if fault.critical and not fault.found
        ]
    return CriticalResult(
        point=point,
        happened=bool(where),
        where=tuple(dict.fromkeys(where)),
        unknown=tuple(
            seen.checkpoint
            for seen in result.walked.points
            if seen.checkpoint in point.missed and seen.look is Look.UNMARKED
        ),
    )
