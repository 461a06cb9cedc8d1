"""The shared rules against published texts, by whole walks with one thing wrong."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.checklists.coverage import bad_answers
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Fault,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    No,
    NotFitted,
    ReadingTaken,
    Reason,
    Severity,
)
from voicecheck.round.checklist import Checklist, CheckpointKind, Outcome
from voicecheck.round.decision import decide

Answers = Callable[..., Mapping[str, Answer]]

GO = Outcome.MAY_WORK
MIND = Outcome.MAY_WORK_WITH_DEFECTS
STOP = Outcome.OUT_OF_SERVICE


def rules_of(
    checklist: Checklist, answers: Mapping[str, Answer]
) -> tuple[Outcome, set[str]]:
    """Return the outcome and the ids of the rules that gave it."""
    decision = decide(checklist, answers, finished=True)
    worst = {r.rule_id for r in decision.reasons if r.outcome is decision.outcome}
    return decision.outcome, worst


def test_all_good_may_work(wheel_loader: Checklist, answers_for: Answers) -> None:
    """A walk with nothing wrong releases the machine without any rule."""
    assert rules_of(wheel_loader, answers_for(wheel_loader)) == (GO, set())


def test_start_check_no(wheel_loader: Checklist, answers_for: Answers) -> None:
    """Any "no" before the machine is touched: not released (30 CFR 56.14100)."""
    starts = [p for p in wheel_loader.checkpoints if p.kind is CheckpointKind.START]
    assert len(starts) >= 8
    for point in starts:
        answers = answers_for(wheel_loader, **{point.id: No()})
        assert rules_of(wheel_loader, answers) == (STOP, {"start_check_not_met"})


def test_critical_anywhere(wheel_loader: Checklist, answers_for: Answers) -> None:
    """A hazardous defect at any point: out of service (30 CFR 56.14100(c))."""
    bad = Defect(fault=Fault.BROKEN, severity=Severity.CRITICAL)
    for point in wheel_loader.checkpoints:
        if point.kind in (CheckpointKind.CONDITION, CheckpointKind.FUNCTION):
            answers = answers_for(wheel_loader, **{point.id: bad})
            outcome, rules = rules_of(wheel_loader, answers)
            assert (outcome, "critical_defect" in rules) == (STOP, True), point.id


@pytest.mark.parametrize("severity", Severity)
@pytest.mark.parametrize(
    ("checkpoint_id", "rule_id", "source"),
    [
        ("service_brake", "brake_defect", "ISO 3450:2011, 4.12"),
        ("park_brake", "brake_defect", "ISO 3450:2011, 4.12"),
        ("seat_belt", "seat_belt_defect", "56.14130(a)(3)"),
        ("rops", "rops_defect", "(e)(2)"),
        ("horn", "horn_defect", "56.14132(a)"),
        ("reverse_alarm", "reverse_alarm_defect", "56.14132(b)"),
        ("steering", "steering_defect", "no source"),
        ("secondary_steering", "steering_defect", "no source"),
        ("lock_bar", "steering_defect", "no source"),
        ("right_rear_nuts", "wheel_fixing_defect", "49 CFR 570.10"),
        ("left_front_rim", "wheel_fixing_defect", "our own cautious default"),
        ("fire_extinguisher", "fire_extinguisher_defect", "common practice"),
    ],
)
def test_any_defect_is_enough(
    *,
    wheel_loader: Checklist,
    answers_for: Answers,
    checkpoint_id: str,
    rule_id: str,
    source: str,
    severity: Severity,
) -> None:
    """Even a minor defect of these parts stops the machine, by the text named."""
    bad = Defect(fault=Fault.WORN, severity=severity)
    answers = answers_for(wheel_loader, **{checkpoint_id: bad})
    outcome, rules = rules_of(wheel_loader, answers)
    assert outcome is STOP
    assert rule_id in rules
    rule = next(r for r in wheel_loader.rules if r.id == rule_id)
    assert source in rule.source


@pytest.mark.parametrize(
    ("checkpoint_id", "severity", "outcome"),
    [
        ("windscreen", Severity.MAJOR, STOP),  # 30 CFR 56.14103, from memory
        ("windscreen", Severity.MINOR, MIND),
        ("left_front_tread", Severity.MAJOR, STOP),
        ("left_front_tread", Severity.MINOR, MIND),
        ("boom", Severity.MAJOR, STOP),
        ("boom", Severity.MINOR, MIND),
        ("cutting_edge", Severity.MAJOR, MIND),
        ("wipers", Severity.MINOR, MIND),
    ],
)
def test_severity_decides(
    wheel_loader: Checklist,
    answers_for: Answers,
    checkpoint_id: str,
    severity: Severity,
    outcome: Outcome,
) -> None:
    """Major stops at points of safety; less is reported (30 CFR 56.14100(b) to (d))."""
    bad = Defect(fault=Fault.CRACKED, severity=severity)
    answers = answers_for(wheel_loader, **{checkpoint_id: bad})
    assert rules_of(wheel_loader, answers)[0] is outcome


@pytest.mark.parametrize("leak_class", LeakClass)
def test_any_fuel_leak_stops(
    wheel_loader: Checklist, answers_for: Answers, leak_class: LeakClass
) -> None:
    """The leak classes hold for "any fluid except fuel" (TM 9-6115-653-14&P).

    29 CFR 1910.178(p)(4) as yardstick: no operation with a leak in the fuel system.
    """
    leak = Leak(fluid="fuel", leak_class=leak_class)
    for where in ("fuel_level", "engine_lines", "fuel_bowls", "rear_leaks"):
        answers = answers_for(wheel_loader, **{where: leak})
        outcome, rules = rules_of(wheel_loader, answers)
        assert outcome is STOP
        assert "fuel_leak" in rules


@pytest.mark.parametrize(
    ("leak_class", "level", "outcome"),
    [
        (LeakClass.ONE, Level.FULL, MIND),
        (LeakClass.TWO, Level.FULL, MIND),
        (LeakClass.TWO, Level.BETWEEN, MIND),
        (LeakClass.THREE, Level.FULL, MIND),
        (LeakClass.THREE, Level.BETWEEN, MIND),
        (LeakClass.THREE, Level.LOW, STOP),
        (LeakClass.THREE, Level.EMPTY, STOP),
    ],
)
def test_leak_and_level(
    wheel_loader: Checklist,
    answers_for: Answers,
    leak_class: LeakClass,
    level: Level,
    outcome: Outcome,
) -> None:
    """Before operation: drops with the level in range may operate, below it not.

    Source: TM 5-3895-369-14 section 4-10 and TM 10-3930-671-10 section 3-3.
    Washer fluid, because a low level of it alone stops nothing.
    """
    answers = answers_for(
        wheel_loader,
        windscreen=Leak(fluid="washer_fluid", leak_class=leak_class),
        washer_fluid_level=LevelSeen(level=level),
    )
    assert rules_of(wheel_loader, answers)[0] is outcome


def test_falling_drops_are_reported_at_once(
    wheel_loader: Checklist, answers_for: Answers
) -> None:
    """Class III: report to the supervisor at once (TM 5-3895-383-24, 1-10)."""
    leak = Leak(fluid="hydraulic_oil", leak_class=LeakClass.THREE)
    decision = decide(
        wheel_loader, answers_for(wheel_loader, loader_lines=leak), finished=True
    )
    assert decision.outcome is MIND
    said = " ".join(reason.text for reason in decision.reasons)
    assert "Tell the supervisor at once" in said


def test_unknown_level_counts_as_low(
    wheel_loader: Checklist, answers_for: Answers
) -> None:
    """ "When in doubt, notify your supervisor": doubt goes to the worse side."""
    leak = Leak(fluid="axle_oil", leak_class=LeakClass.THREE)
    outcome, rules = rules_of(
        wheel_loader, answers_for(wheel_loader, left_rear_rim=leak)
    )
    assert (outcome, rules) == (STOP, {"falling_drops_level_not_in_range"})


@pytest.mark.parametrize(
    ("where", "fluid", "leak_class", "outcome"),
    [
        ("joint_lines", "brake_oil", LeakClass.ONE, MIND),
        ("joint_lines", "brake_oil", LeakClass.TWO, STOP),
        ("coolant_level", "coolant", LeakClass.ONE, MIND),
        ("coolant_level", "coolant", LeakClass.TWO, STOP),
        ("steering_cylinder_left", "hydraulic_oil", LeakClass.ONE, MIND),
        ("steering_cylinder_left", "hydraulic_oil", LeakClass.TWO, STOP),
        ("loader_lines", "hydraulic_oil", LeakClass.TWO, MIND),
        ("batteries", "battery_acid", LeakClass.TWO, STOP),
    ],
)
def test_cautious_leak_defaults(
    *,
    wheel_loader: Checklist,
    answers_for: Answers,
    where: str,
    fluid: str,
    leak_class: LeakClass,
    outcome: Outcome,
) -> None:
    """Drops of brake oil, coolant, acid or at the steering stop it: no source."""
    leak = Leak(fluid=fluid, leak_class=leak_class)
    assert rules_of(wheel_loader, answers_for(wheel_loader, **{where: leak}))[0] is (
        outcome
    )


def test_leak_words_follow_the_definitions(wheel_loader: Checklist) -> None:
    """Class III rules speak of drops that fall, class II rules of drops.

    Definitions, TM 5-3895-383-24 section 1-10: I wet, no drops form; II drops
    form but do not fall; III drops form and fall.
    """
    for rule in wheel_loader.rules:
        if rule.leak_class_at_least is LeakClass.THREE:
            assert "Drops fall" in rule.text
        if rule.leak_class_at_least is LeakClass.TWO:
            assert rule.text.startswith("Drops")
            assert "fall" not in rule.text


@pytest.mark.parametrize(
    ("checkpoint_id", "low", "empty"),
    [
        ("engine_oil_level", STOP, STOP),
        ("hydraulic_oil_level", STOP, STOP),
        ("transmission_oil_level", STOP, STOP),
        ("coolant_level", STOP, STOP),
        ("fuel_level", MIND, STOP),
        ("def_level", MIND, STOP),
        ("washer_fluid_level", MIND, MIND),
    ],
)
def test_levels(
    wheel_loader: Checklist,
    answers_for: Answers,
    checkpoint_id: str,
    low: Outcome,
    empty: Outcome,
) -> None:
    """Below the mark before operation: do not operate until refilled.

    Source for oil and coolant: TM 5-3895-369-14 section 4-10, TM 10-3930-671-10
    section 3-3. Fuel, exhaust fluid and washer fluid: our own default, no source.
    """
    for level, outcome in (
        (Level.FULL, GO),
        (Level.BETWEEN, GO),
        (Level.LOW, low),
        (Level.EMPTY, empty),
    ):
        answers = answers_for(wheel_loader, **{checkpoint_id: LevelSeen(level=level)})
        assert rules_of(wheel_loader, answers)[0] is outcome, level


@pytest.mark.parametrize(
    ("checkpoint_id", "kpa", "outcome"),
    [
        # 80 % or less of the recommended pressure: 29 CFR 1910.177(f), from memory.
        ("left_front_pressure", "360", STOP),
        ("right_rear_pressure", "320", STOP),
        ("left_front_pressure", "361", MIND),
        ("right_rear_pressure", "321", MIND),
        ("left_front_pressure", "450", GO),
        # 450 kPa at 20 °C reads 403 at -5 °C and 525 at 60 °C: ideal gas at fixed
        # volume, (p + 101.3) T2/T1 - 101.3. Neither is a reason to bleed or stop.
        ("left_front_pressure", "403", MIND),
        ("left_front_pressure", "525", MIND),
        ("left_front_pressure", "600", STOP),
        # At most 6.2 kPa, TM 5-3820-256-24-5 (turbocharged diesel, full load).
        ("air_restriction", "6.2", GO),
        ("air_restriction", "6.3", MIND),
        ("air_restriction", "8", STOP),
        ("hour_meter", "99999.9", GO),
        ("hour_meter", "0", GO),
    ],
)
def test_readings(
    wheel_loader: Checklist,
    answers_for: Answers,
    checkpoint_id: str,
    kpa: str,
    outcome: Outcome,
) -> None:
    """Readings decide by their limits; the sources stand beside the cases."""
    reading = ReadingTaken(value=Decimal(kpa))
    answers = answers_for(wheel_loader, **{checkpoint_id: reading})
    assert rules_of(wheel_loader, answers)[0] is outcome


def test_soft_tyre_is_not_inflated(
    wheel_loader: Checklist, answers_for: Answers
) -> None:
    """The rule on soft tyres says not to inflate (29 CFR 1910.177(f), from memory)."""
    answers = answers_for(
        wheel_loader, left_rear_pressure=ReadingTaken(value=Decimal(300))
    )
    decision = decide(wheel_loader, answers, finished=True)
    rule = next(r for r in decision.reasons if r.rule_id == "tyre_pressure_far_low")
    assert "Do not inflate" in rule.text
    assert "[from memory]" in rule.source


def test_could_not_check(wheel_loader: Checklist, answers_for: Answers) -> None:
    """A point of safety that was not seen is not released; another is reported."""
    unseen = CouldNotCheck(reason=Reason.TOO_DARK)
    for where, outcome in (
        ("seat_belt", STOP),
        ("right_front_nuts", STOP),
        ("engine_oil_level", STOP),
        ("fuel_bowls", STOP),
        ("front_lights", MIND),
        ("washer_fluid_level", MIND),
        ("hour_meter", MIND),
    ):
        answers = answers_for(wheel_loader, **{where: unseen})
        assert rules_of(wheel_loader, answers)[0] is outcome, where


def test_not_fitted(wheel_loader: Checklist, answers_for: Answers) -> None:
    """Parts that a loader may lack change nothing; the mandatory ones are no such."""
    optional = {p.id for p in wheel_loader.checkpoints if p.may_be_absent}
    assert optional == {
        "bucket_teeth",
        "def_level",
        "air_restriction",
        "secondary_steering",
        "camera_picture",
    }
    for point_id in optional:
        answers = answers_for(wheel_loader, **{point_id: NotFitted()})
        assert rules_of(wheel_loader, answers)[0] is GO


def test_every_rule_cites_or_owns_up(wheel_loader: Checklist) -> None:
    """Every rule names a text, or says that it has no source."""
    for rule in wheel_loader.rules:
        cited = any(mark in rule.source for mark in ("CFR", "TM ", "ISO "))
        assert cited or "no source" in rule.source, rule.id


@given(data=st.data())
def test_more_findings_never_loosen(
    wheel_loader: Checklist, answers_for: Answers, data: st.DataObject
) -> None:
    """One more bad answer never makes the outcome milder."""
    points = list(wheel_loader.checkpoints)
    chosen = data.draw(st.lists(st.sampled_from(points), unique=True, max_size=4))
    answers = dict(answers_for(wheel_loader))
    before = 0
    for point in chosen:
        bad = list(bad_answers(wheel_loader, point))
        answers[point.id] = data.draw(st.sampled_from(bad))
        after = decide(wheel_loader, answers, finished=True).outcome.rank
        assert after >= max(before, 1)
        before = after
