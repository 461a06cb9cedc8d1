"""The result of an observation as one JSON document, its hash, and its schema.

The document is a function of the observation's events and the checklist, so
working it out again gives the same hash; signatures name that hash. The schema is
`result.schema.json` beside this module.
"""

from __future__ import annotations

from typing import Any

from voicecheck.observe import document_models as m
from voicecheck.observe.decision import Decided
from voicecheck.observe.faults import FaultResult
from voicecheck.observe.keeping import started
from voicecheck.observe.result import Order, Result
from voicecheck.observe.seal import opened
from voicecheck.record.answer_json import answer_to_json
from voicecheck.record.canonical import sha256_of
from voicecheck.round.answers import Answer
from voicecheck.statistics.agreement import Kappa
from voicecheck.statistics.detection import Detection
from voicecheck.statistics.interval import Interval
from voicecheck.statistics.ordering import Edits
from voicecheck.statistics.proportions import Share


def result_document(result: Result, decided: Decided) -> dict[str, Any]:
    """Return a result as JSON data that follows `result.schema.json`."""
    begun, seen = started(result.observation), result.observation
    document = m.ResultDocument(
        observation=str(seen.observation),
        trainee=begun.trainee,
        assessor=begun.by,
        unit=begun.unit,
        checklist={
            "name": begun.checklist,
            "version": begun.checklist_version,
            "sha256": begun.checklist_sha256,
        },
        begun_utc=begun.at_utc,
        ended_utc=seen.ended.at_utc if seen.ended else "",
        ended_reason=seen.ended.reason if seen.ended else "",
        walk_id=seen.joined.walk_id if seen.joined else None,
        basis=result.walked.basis,
        certainty=result.criteria.certainty,
        seal=_seal(result),
        planted=[_fault(fault) for fault in result.faults],
        found=_share(result.found),
        false_alarms=[point.checkpoint for point in result.false_alarms],
        false_alarm=_share(result.false_alarm),
        detection=_detection(result.detection),
        misses=m.MissesPart(
            shown=result.misses.shown,
            missed=result.misses.missed,
            planted=result.misses.planted,
            allowed_share=result.misses.allowed_share,
            at_most=result.misses.at_most,
            at_least=result.misses.at_least,
            needed=result.misses.needed,
        ),
        coverage=_share(result.coverage),
        order=_order(result.order),
        times=m.TimesPart(
            reference=result.times.kind,
            source=result.times.source,
            zones=[
                m.ZoneTimePart(
                    zone=zone.zone,
                    seconds=zone.seconds,
                    reference_s=zone.reference_s,
                )
                for zone in result.times.zones
            ],
        ),
        severity=kappa_part(result.severity),
        unsafe=[
            m.UnsafePart(
                act=act.act, at_utc=act.at_utc, checkpoint=act.checkpoint, note=act.note
            )
            for act in result.unsafe
        ],
        points=[
            m.PointPart(
                checkpoint=point.checkpoint,
                zone=point.zone,
                look=point.look,
                called=point.called,
                out_of_order=point.out_of_order,
            )
            for point in result.walked.points
        ],
        decision=_decision(decided),
        doubts=[m.DoubtPart(kind=d.kind, detail=d.detail) for d in result.doubts],
    )
    return document.model_dump(mode="json")


def result_sha256(result: Result, decided: Decided) -> str:
    """Return the hash that signatures name."""
    return sha256_of(result_document(result, decided))


def kappa_part(kappa: Kappa) -> m.KappaPart:
    """Return a kappa as part of a document."""
    return m.KappaPart(
        value=kappa.value,
        interval=_interval(kappa.interval) if kappa.interval else None,
        word=kappa.word,
        observed=kappa.observed,
        count=kappa.count,
        rows=list(kappa.rows),
        columns=list(kappa.columns),
    )


def _seal(result: Result) -> m.SealPart:
    begun, shown = started(result.observation), result.observation.opened
    document = opened(shown.sealed if shown else None)
    return m.SealPart(
        state=result.seal,
        commitment=begun.commitment,
        sealed_utc=document.sealed_utc,
        sealed=document.document,
    )


def _fault(fault: FaultResult) -> m.FaultPart:
    return m.FaultPart(
        checkpoint=fault.fault.checkpoint,
        zone=fault.zone,
        expected=answer_to_json(fault.fault.expected),
        tag=fault.fault.tag,
        described=fault.fault.described,
        severity=fault.severity,
        critical=fault.critical,
        found=fault.found,
        found_at=fault.found_at,
        look=fault.look,
        said=_said(fault.said),
        said_severity=fault.said_severity,
        right_class=fault.right_class,
    )


def _said(answer: Answer | None) -> dict[str, Any] | None:
    return None if answer is None else answer_to_json(answer)


def _share(share: Share) -> m.SharePart:
    return m.SharePart(
        count=share.count, of=share.of, interval=_interval(share.interval)
    )


def _interval(interval: Interval) -> m.IntervalPart:
    return m.IntervalPart(low=interval.low, high=interval.high)


def _detection(found: Detection | None) -> m.DetectionPart | None:
    if found is None:
        return None
    return m.DetectionPart(
        d_prime=found.d_prime,
        d_prime_interval=_interval(found.d_prime_interval),
        criterion=found.criterion,
        criterion_interval=_interval(found.criterion_interval),
        hit_rate=found.hit_rate,
        false_alarm_rate=found.false_alarm_rate,
    )


def _order(order: Order) -> m.OrderPart:
    return m.OrderPart(
        basis=order.basis,
        points=order.points,
        tau=order.tau,
        zone_tau=order.zone_tau,
        distance=order.edits.distance,
        steps=_steps(order.edits),
        zone_steps=_steps(order.zone_edits),
        marked=list(order.marked),
    )


def _steps(edits: Edits[str]) -> list[m.StepPart]:
    return [
        m.StepPart(
            kind=step.kind,
            item=step.item,
            after=step.after,
            walked_after=step.walked_after,
        )
        for step in edits.steps
    ]


def _decision(decided: Decided) -> m.DecisionPart:
    return m.DecisionPart(
        standing=decided.standing,
        broken_off=decided.broken_off,
        criteria=[
            m.CriterionPart(
                id=one.criterion.id,
                measure=one.criterion.measure,
                at_least=one.criterion.at_least,
                at_most=one.criterion.at_most,
                value=one.value,
                trials=one.trials,
                standing=one.standing,
                sure=one.sure,
                needed=one.needed,
                source=one.criterion.source,
            )
            for one in decided.measures
        ],
        critical=[
            m.CriticalPart(
                id=one.point.id,
                happened=one.happened,
                where=list(one.where),
                unknown=list(one.unknown),
                source=one.point.source,
            )
            for one in decided.critical
        ],
    )
