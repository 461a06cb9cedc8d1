"""What a watched walk showed, against figures worked out by hand.

The walk is `voicecheck.testing.watched_walk`. Beside each figure stands how it
comes about; the formulas are tested against published examples in
tests/statistics.
"""

from __future__ import annotations

import pytest

from voicecheck.errors import ObserveError
from voicecheck.observe.events import Joined
from voicecheck.observe.marks import MarkKind, UnsafeAct
from voicecheck.observe.result import Result, result
from voicecheck.observe.seal import SealState
from voicecheck.observe.times import ReferenceKind
from voicecheck.observe.walked import Basis, Look
from voicecheck.record.answer_json import answer_to_json
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Fault,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    NotFitted,
    Reason,
    Severity,
)
from voicecheck.statistics.ordering import EditKind
from voicecheck.statistics.proportions import Shown
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import good_answers, small_checklist

SMALL = small_checklist()


@pytest.fixture(scope="module")
def shown() -> Result:
    """Give the result of the marks alone."""
    return result(w.watched(SMALL), SMALL)


def own(answers: dict[str, Answer], too_fast: tuple[str, ...] = ()) -> Joined:
    """Return the trainee's own record, one answer every ten seconds."""
    from uuid import UUID

    return Joined(
        key=UUID(int=903),
        observation=w.OBSERVATION,
        at_utc=w.at(119),
        by=w.ASSESSOR,
        walk_id="00000000-0000-4000-8000-000000000001",
        walk={
            "walk_id": "00000000-0000-4000-8000-000000000001",
            "operator": w.TRAINEE,
            "unit": "L-12",
            "checklist_sha256": SMALL.sha256,
            "started_utc": w.at(5),
            "ended_utc": w.at(118),
            "status": "signed",
            "content_sha256": "0" * 64,
            "answers": [
                {
                    "checkpoint": point,
                    "answer": answer_to_json(answers[point]),
                    "at_utc": w.at(10 * place),
                    "too_fast": point in too_fast,
                }
                for place, point in enumerate(w.WAY, start=1)
                if point in answers
            ],
        },
    )


def test_faults_found_and_missed(shown: Result) -> None:
    """Two of three; the oil was looked at, and nothing was said."""
    by = {fault.fault.checkpoint: fault for fault in shown.faults}

    assert (shown.found.count, shown.found.of) == (2, 3)
    assert by["left_wheel"].found_at == "left_wheel"
    assert by["leaks_below"].right_class is False  # class I planted, II called
    assert by["leaks_below"].said_severity is Severity.CRITICAL  # any fuel leak
    assert (by["engine_oil"].found, by["engine_oil"].look) == (False, Look.LOOKED)
    assert [name for name, fault in by.items() if fault.critical] == ["leaks_below"]


def test_false_alarms_are_counted_among_points_walked(shown: Result) -> None:
    """Tyre, horn and camera are walked and whole; the belts were never reached."""
    assert [point.checkpoint for point in shown.false_alarms] == ["camera"]
    assert (shown.false_alarm.count, shown.false_alarm.of) == (1, 3)


def test_detection(shown: Result) -> None:
    """H = 2.5/4, F = 1.5/4: d' = 2 z(.625) = 0.6373, c = 0.

    Variance of each z: .625 * .375 / (3 * .37920²) = 0.5433; half the interval is
    1.95996 * sqrt(1.0867) = 2.0431.
    """
    found = shown.detection

    assert found is not None
    assert found.d_prime == pytest.approx(0.6373, abs=1e-4)
    assert found.criterion == pytest.approx(0.0, abs=1e-12)
    assert found.d_prime_interval.low == pytest.approx(-1.4059, abs=2e-4)
    assert found.d_prime_interval.high == pytest.approx(2.6804, abs=2e-4)


def test_three_faults_are_too_few_to_tell(shown: Result) -> None:
    """With one miss 93 would be needed for 5 % at 95 %.

    The bound on the share that is missed solves 3x² - 2x³ = 0.95: 0.8646.
    """
    assert shown.misses.shown is Shown.TOO_FEW
    assert shown.misses.needed == 93
    assert shown.misses.at_most == pytest.approx(0.8646, abs=1e-4)


def test_coverage(shown: Result) -> None:
    """Eight of ten: horn glanced at, belts missed. Wilson: 0.4902 … 0.9433."""
    assert (shown.coverage.count, shown.coverage.of) == (8, 10)
    assert shown.coverage.interval.low == pytest.approx(0.4902, abs=1e-4)
    assert shown.coverage.interval.high == pytest.approx(0.9433, abs=1e-4)


def test_order(shown: Result) -> None:
    """The oil came three points early: tau = (33 - 3) / 36; zones (5 - 1) / 6."""
    order = shown.order

    assert order.tau == pytest.approx(30 / 36)
    assert order.zone_tau == pytest.approx(4 / 6)
    steps = {(step.kind, step.item) for step in order.edits.steps}
    assert steps == {(EditKind.MISSING, "belts"), (EditKind.MOVED, "engine_oil")}
    assert order.edits.distance == 3  # one for missing, two for moved
    [moved] = order.zone_edits.steps
    assert moved.kind is EditKind.MOVED
    assert moved.item in {"engine", "left_side"}


def test_times(shown: Result) -> None:
    """From the first point of a zone to the first of the next one."""
    times = {zone.zone: zone for zone in shown.times.zones}

    assert {name: zone.seconds for name, zone in times.items()} == {
        "approach": 30.0,
        "engine": 10.0,
        "left_side": 30.0,
        "cab": 40.0,
    }
    assert times["left_side"].share == pytest.approx(30 / 45)
    assert times["cab"].share is None
    assert (shown.times.kind, shown.times.source) == (
        ReferenceKind.WALK,
        "M.Roe, 2 March",
    )


def test_severity_agreement(shown: Result) -> None:
    """Minor as minor, critical as critical: kappa 1, and two faults say little."""
    assert shown.severity.value == pytest.approx(1.0)
    assert shown.severity.count == 2
    assert shown.severity.interval is not None
    assert shown.severity.interval.low < 0.0


def test_the_basis_is_said(shown: Result) -> None:
    """Marks alone tell here, and the seal holds."""
    assert (shown.walked.basis, shown.walked.order_basis) == (Basis.MARKS, Basis.MARKS)
    assert shown.seal is SealState.HOLDS
    assert shown.doubts == ()


def test_the_record_says_what_was_called() -> None:
    """Called aloud but recorded as good is a miss, and a doubt is told."""
    answers: dict[str, Answer] = {
        **good_answers(),
        "left_wheel": Defect(fault=Fault.LOOSE, severity=Severity.CRITICAL),
        "engine_oil": LevelSeen(level=Level.LOW),
        "belts": NotFitted(),
    }

    shown = result(w.watched(SMALL, [own(answers)]), SMALL)

    found = {fault.fault.checkpoint: fault for fault in shown.faults}
    assert {name: fault.found for name, fault in found.items()} == {
        "left_wheel": True,
        "leaks_below": False,
        "engine_oil": True,
    }
    assert found["left_wheel"].said_severity is Severity.CRITICAL
    # not fitted: no longer on the way
    assert [p.checkpoint for p in shown.walked.points if p.checkpoint == "belts"] == []
    assert shown.false_alarms == ()
    assert {doubt.detail for doubt in shown.doubts} == {
        "leaks_below",
        "camera",
        "belts",
    }
    # planted minor, called critical: no agreement beyond the margins
    assert shown.severity.count == 2


def test_an_answer_without_a_mark_counts_unless_it_was_too_fast() -> None:
    """Nobody can look that fast."""
    closed = w.sealed(SMALL)
    seen = w.fold(
        w.OBSERVATION,
        [
            w.begun(SMALL, closed),
            own(good_answers(), too_fast=("horn",)),
            *w.ending(closed),
        ],
    )

    shown = result(seen, SMALL)

    assert shown.walked.at("left_wheel").look is Look.ANSWERED
    assert shown.walked.at("horn").look is Look.GLANCED
    assert shown.order.basis is Basis.RECORD
    assert shown.order.tau == 1.0
    assert [z.seconds for z in shown.times.zones] == [30.0, 30.0, 20.0, 28.0]


def test_could_not_check_is_neither_found_nor_a_trial() -> None:
    """A planted fault that was not reached is missed; a whole point is no trial."""
    dark = CouldNotCheck(reason=Reason.TOO_DARK)
    answers: dict[str, Answer] = {
        **good_answers(),
        "left_wheel": dark,
        "horn": dark,
    }
    closed = w.sealed(SMALL)
    seen = w.fold(
        w.OBSERVATION, [w.begun(SMALL, closed), own(answers), *w.ending(closed)]
    )

    shown = result(seen, SMALL)

    assert shown.faults[0].found is False
    assert shown.walked.at("horn").look is Look.COULD_NOT
    assert shown.false_alarm.of == 2  # tyre and camera; belts are not fitted


def test_good_said_in_passing_is_no_trial() -> None:
    """Who passes the camera by and answers "good" has shown nothing."""
    passed = w.mark(1, MarkKind.MISSED, 95, "camera")
    closed = w.sealed(SMALL)
    events = [w.begun(SMALL, closed), own(good_answers()), *w.ending(closed)]

    without = result(w.fold(w.OBSERVATION, events), SMALL)
    with_it = result(w.fold(w.OBSERVATION, [*events, passed]), SMALL)

    assert without.false_alarm.of - with_it.false_alarm.of == 1


def test_silence_is_no_look() -> None:
    """Without a record, a point that nobody marked was not looked at."""
    closed = w.sealed(SMALL)
    seen = w.fold(
        w.OBSERVATION,
        [
            w.begun(SMALL, closed),
            w.mark(1, MarkKind.LOOKED, 10, "horn"),
            *w.ending(closed),
        ],
    )

    shown = result(seen, SMALL)

    assert (shown.coverage.count, shown.coverage.of) == (1, 10)
    assert shown.walked.at("belts").look is Look.UNMARKED
    assert shown.order.tau is None
    assert (shown.found.count, shown.found.of) == (0, 3)


def test_a_real_fault_is_no_false_alarm() -> None:
    """The camera is really broken: the assessor says so."""
    real = w.mark(30, MarkKind.REAL_FAULT, 95, "camera")

    shown = result(w.watched(SMALL, [real]), SMALL)

    assert shown.false_alarms == ()
    assert shown.false_alarm.of == 2


def test_calling_it_next_door_counts_where_the_scenario_says_so() -> None:
    """A leak called at the wheel above it; no false alarm there either."""
    from dataclasses import replace

    planted = w.scenario(SMALL)
    leak = replace(planted.planted[1], also_at=("left_tyre",))
    from voicecheck.observe.criteria import default_criteria
    from voicecheck.observe.seal import seal

    closed = seal(
        replace(planted, planted=(leak,)),
        default_criteria(),
        at=w.START,
    )
    seen = w.fold(
        w.OBSERVATION,
        [
            w.begun(SMALL, closed),
            w.mark(1, MarkKind.LOOKED, 10, "leaks_below"),
            w.mark(2, MarkKind.CALLED, 12, "left_tyre", leak_class=LeakClass.ONE),
            *w.ending(closed),
        ],
    )

    shown = result(seen, SMALL)

    assert shown.faults[0].found_at == "left_tyre"
    assert shown.faults[0].right_class is True
    assert shown.false_alarms == ()


def test_unsafe_acts_carry_their_time() -> None:
    """And the point, where there is one."""
    act = w.mark(40, MarkKind.UNSAFE, 33, act=UnsafeAct.THREE_POINTS_BROKEN)

    [seen] = result(w.watched(SMALL, [act]), SMALL).unsafe

    assert (seen.act, seen.at_utc, seen.checkpoint) == (
        UnsafeAct.THREE_POINTS_BROKEN,
        w.at(33),
        None,
    )


def test_there_is_no_result_before_the_end() -> None:
    """What is not over is not judged."""
    closed = w.sealed(SMALL)

    with pytest.raises(ObserveError, match="not ended"):
        result(w.fold(w.OBSERVATION, [w.begun(SMALL, closed)]), SMALL)


def test_leaks_said_in_the_record_are_held_against_the_class() -> None:
    """Class I planted, class I recorded."""
    answers: dict[str, Answer] = {
        **good_answers(),
        "leaks_below": Leak(fluid="fuel", leak_class=LeakClass.ONE),
    }

    shown = result(w.watched(SMALL, [own(answers)]), SMALL)

    assert shown.faults[1].right_class is True
