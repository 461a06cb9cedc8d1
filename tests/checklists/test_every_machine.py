"""Every shipped checklist is whole, whatever machine it is for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise

import pytest

from voicecheck.checklists import available, lint, load
from voicecheck.checklists.coverage import bad_answers
from voicecheck.checklists.speakable import spoken_s
from voicecheck.round.answers import Answer, Defect, Fault, No, Severity
from voicecheck.round.checklist import CheckpointKind, Outcome, Place
from voicecheck.round.decision import decide
from voicecheck.speech.grammar.lint import answers_can_be_said, phrases_are_known
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser

Answers = Callable[..., Mapping[str, Answer]]

NAMES = [item.name for item in available()]
AXLES = ("front", "middle", "rear")

# What a walk round any earth-moving machine asks: common practice, no source.
EVERYWHERE = {
    "protective_gear",
    "cab_empty",
    "ground_clear",
    "isolated_tagged",
    "engine_oil_level",
    "hydraulic_oil_level",
    "coolant_level",
    "fuel_level",
    "batteries",
    "air_cleaner",
    "engine_lines",
    "windscreen",
    "fire_extinguisher",
    "rops",
    "seat_belt",
    "second_exit",
    "hour_meter",
    "horn",
    "gauges",
    "ground_after_run",
}


@pytest.fixture(scope="module")
def knows() -> Callable[[str], bool]:
    """The dictionary of the packaged English recogniser."""
    return PocketSphinxRecogniser("en").knows


@pytest.mark.parametrize("name", NAMES)
def test_lint_finds_nothing(name: str, knows: Callable[[str], bool]) -> None:
    """Not even a warning, and every answer can be said and is known."""
    assert lint(name, (answers_can_be_said, phrases_are_known("en", knows))) == ()


@pytest.mark.parametrize("name", NAMES)
def test_is_as_long_as_the_trade_asks(name: str) -> None:
    """About a hundred points in at least sixteen zones, the usual ones among them."""
    checklist = load(name)
    asked = {point.id for point in checklist.checkpoints}
    assert 88 <= len(asked) <= 120
    assert len(checklist.zones) >= 16
    assert asked >= EVERYWHERE


@pytest.mark.parametrize("name", NAMES)
def test_all_good_may_work(name: str, answers_for: Answers) -> None:
    """A walk with nothing wrong releases the machine without any reason."""
    checklist = load(name)
    decision = decide(checklist, answers_for(checklist), finished=True)
    assert (decision.outcome, decision.reasons) == (Outcome.MAY_WORK, ())


@pytest.mark.parametrize("name", NAMES)
def test_no_bad_answer_goes_free(name: str, answers_for: Answers) -> None:
    """Each bad answer alone has its outcome; a start check answered no stops."""
    checklist = load(name)
    for point in checklist.checkpoints:
        for answer in bad_answers(checklist, point):
            answers = answers_for(checklist, **{point.id: answer})
            outcome = decide(checklist, answers, finished=True).outcome
            assert outcome is not Outcome.MAY_WORK, (point.id, answer)
            if isinstance(answer, No):
                assert outcome is Outcome.OUT_OF_SERVICE


@pytest.mark.parametrize("name", NAMES)
def test_climbs_are_told(name: str) -> None:
    """Three points of contact before each climb; functions from the seat only."""
    checklist = load(name)
    for before, after in pairwise(checklist.zones):
        if before.place is not after.place:
            assert "Three points of contact" in after.climb_caution
    for point in checklist.checkpoints:
        if point.kind is CheckpointKind.FUNCTION:
            assert checklist.zone(point.zone_id).place is Place.CAB


@pytest.mark.parametrize("name", NAMES)
def test_prompts_are_short(name: str) -> None:
    """No prompt is estimated to take longer than two and a half seconds."""
    assert max(spoken_s(p.prompt, "en") for p in load(name).checkpoints) <= 2.5


@pytest.mark.parametrize(
    "name", [item.name for item in available() if "ko" in item.languages]
)
def test_korean_is_whole(name: str) -> None:
    """Same points in the same order, every learner's text in Hangul, not English."""
    english, korean = load(name), load(name, "ko")
    assert korean.sha256 == english.sha256
    for ours, theirs in zip(korean.checkpoints, english.checkpoints, strict=True):
        assert ours.id == theirs.id
        for key in ("look", "wrong", "why"):
            text = getattr(ours, key)
            assert text != getattr(theirs, key), f"{ours.id}.{key}"
            assert any("가" <= letter <= "힣" for letter in text)


@pytest.mark.parametrize("name", NAMES)
def test_limits_name_where_they_come_from(name: str) -> None:
    """A limit has its source, and every one gives way to the machine's manual."""
    for point in load(name).checkpoints:
        spec = point.reading
        if spec is None:
            continue
        limits = (spec.far_low, spec.low, spec.high, spec.far_high)
        if any(limit is not None for limit in limits):
            assert "manual" in spec.limits_source, point.id


# Parts that a practitioner names first for each machine: common practice, no source.
OWN: dict[str, set[str]] = {
    "articulated-dump-truck": {
        *("joint_pins", "lock_bar", "oscillation_hitch", "driveline", "tailgate"),
        *("hoist_cylinder_left", "hoist_cylinder_right", "body_prop", "body_hinge"),
        *("left_front_suspension", "left_bogie", "right_bogie", "heated_body"),
        *("spill_guard", "body_raised_warning", "retarder", "secondary_steering"),
        *("service_brake", "park_brake", "reverse_alarm", "camera_picture"),
    },
    "crawler-excavator": {
        *("left_track_sag", "right_shoes", "right_shoe_bolts", "left_rollers"),
        *("left_idler", "right_sprocket", "right_final_drive", "swing_bearing"),
        *("swing_gear", "counterweight", "boom_cylinders", "stick_cylinder"),
        *("bucket_cylinder", "stick_pins", "coupler_lock", "coupler_test"),
        *("bucket_teeth", "lift_point", "overload_warning", "cab_guard"),
        *("swing_brake", "travel_brakes", "travel_alarm", "lowering_means"),
        *("safety_lever", "hydraulic_tank", "boom_lines", "load_chart"),
    },
}

# A major defect at these stops the machine by a rule of its own checklist.
CRITICAL_PARTS = [
    ("articulated-dump-truck", "body_prop", Severity.MINOR, "body_prop_defect"),
    (
        "articulated-dump-truck",
        "body_raised_warning",
        Severity.MINOR,
        "body_raised_warning_defect",
    ),
    (
        "articulated-dump-truck",
        "body_hinge",
        Severity.MAJOR,
        "hoist_or_hinge_defect",
    ),
    (
        "articulated-dump-truck",
        "joint_pins",
        Severity.MAJOR,
        "joint_or_hitch_defect",
    ),
    ("crawler-excavator", "coupler_lock", Severity.MINOR, "coupler_not_proved"),
    ("crawler-excavator", "safety_lever", Severity.MINOR, "safety_lever_defect"),
    (
        "crawler-excavator",
        "swing_bearing",
        Severity.MAJOR,
        "swing_bearing_or_counterweight_defect",
    ),
]


@pytest.mark.parametrize("name", OWN)
def test_the_machines_own_parts_are_asked(name: str) -> None:
    """What makes this machine unlike others has its checkpoints."""
    assert OWN[name] <= {point.id for point in load(name).checkpoints}


@pytest.mark.parametrize(("name", "point", "severity", "rule"), CRITICAL_PARTS)
def test_own_rules_stop_the_machine(
    name: str, point: str, severity: Severity, rule: str, answers_for: Answers
) -> None:
    """The rule of the machine gives out of service, whatever shared rules say."""
    checklist = load(name)
    defect = Defect(fault=Fault.DAMAGED, severity=severity)
    decision = decide(
        checklist, answers_for(checklist, **{point: defect}), finished=True
    )
    reasons = {r.rule_id for r in decision.reasons if r.outcome is decision.outcome}
    assert decision.outcome is Outcome.OUT_OF_SERVICE
    assert rule in reasons


def test_the_truck_asks_six_wheels_alike() -> None:
    """Five questions at each of six wheels, the pressure with its caution."""
    truck = load("articulated-dump-truck")
    for wheel in (f"{s}_{a}" for s in ("left", "right") for a in AXLES):
        asked = [p.id for p in truck.zone(f"{wheel}_wheel").checkpoints]
        parts = ("tread", "sidewalls", "rim", "nuts", "pressure")
        assert asked[:5] == [f"{wheel}_{part}" for part in parts]
        assert "out of line" in truck.checkpoint(f"{wheel}_pressure").hazards[0]
