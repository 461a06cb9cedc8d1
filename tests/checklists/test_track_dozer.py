"""The shipped dozer walk holds what a walkaround of a track dozer must hold."""

from __future__ import annotations

import pytest

from voicecheck.checklists import lint, load, unfit_answers
from voicecheck.round.answers import Defect
from voicecheck.round.checklist import Checklist, CheckpointKind, Outcome

# Topics of a track dozer's walkaround: common practice, no source.
ONCE: dict[str, tuple[str, ...]] = {
    "nobody in the cab or at the tracks": ("cab_empty", "tracks_clear"),
    "blade and ripper lowered": ("blade_down", "ripper_down"),
    "isolation": ("park_brake_set", "isolated_tagged"),
    "blade, cutting edge, end bits": ("blade_face", "blade_edge", "end_bits"),
    "ripper shanks, teeth, pins": ("ripper_shanks", "ripper_tips", "ripper_pins"),
    "ripper cylinders": ("ripper_cylinders",),
    "belly guards and debris": ("belly_guards", "belly_debris"),
    "structures over the driver, sweeps, screens": ("rops", "fops", "sweeps"),
    "levels": (
        "engine_oil_level",
        "coolant_level",
        "hydraulic_oil_level",
        "transmission_oil_level",
        "fuel_level",
    ),
    "steering, brakes, decelerator": (
        "steering",
        "service_brake",
        "park_brake",
        "decelerator",
    ),
    "locked controls": ("controls_lock",),
    "belt and extinguisher": ("seat_belt", "fire_extinguisher"),
    "horn and reversing alarm": ("horn", "reverse_alarm"),
    "hours": ("hour_meter",),
}
BOTH_SIDES = (
    "push_arm_body",
    "trunnion",
    "blade_pins",
    "blade_cylinders",
    "blade_lines",
    "idler",
    "adjuster",
    "shoes",
    "shoe_bolts",
    "links",
    "track_sag",
    "rollers",
    "track_guides",
    "sprocket",
    "final_drive",
    "pivot",
)


@pytest.fixture(scope="module")
def dozer() -> Checklist:
    """Return the checklist in English."""
    return load("track-dozer")


def test_lint_finds_nothing() -> None:
    """No error and no warning."""
    assert lint("track-dozer") == ()


def test_it_is_as_complete_as_the_wheel_loader(dozer: Checklist) -> None:
    """At least as many points."""
    assert len(dozer.checkpoints) >= len(load("wheel-loader").checkpoints)


@pytest.mark.parametrize("topic", ONCE)
def test_topic_is_asked(dozer: Checklist, topic: str) -> None:
    """By these points."""
    assert {point.id for point in dozer.checkpoints} >= set(ONCE[topic])


@pytest.mark.parametrize("part", BOTH_SIDES)
def test_each_side_is_asked_alike(dozer: Checklist, part: str) -> None:
    """Right and left, on the right and on the left of the plan."""
    right = dozer.zone(dozer.checkpoint(f"right_{part}").zone_id)
    left = dozer.zone(dozer.checkpoint(f"left_{part}").zone_id)

    assert right.plan_x > 0.5 > left.plan_x
    assert right.plan_x + left.plan_x == pytest.approx(1)
    assert right.plan_y == left.plan_y


# Common practice, no source, but for what the checklist's own rules cite.
@pytest.mark.parametrize(
    "point_id",
    [
        "right_trunnion",
        "left_trunnion",
        "right_adjuster",
        "left_adjuster",
        "rops",
        "fops",
        "controls_lock",
        "decelerator",
        "steering",
        "service_brake",
        "park_brake",
        "seat_belt",
        "horn",
        "reverse_alarm",
    ],
)
def test_any_defect_here_is_enough(dozer: Checklist, point_id: str) -> None:
    """Even a minor one puts the machine out of service."""
    found = unfit_answers(dozer, dozer.checkpoint(point_id))
    defects = [item for item in found if isinstance(item.answer, Defect)]

    assert len(defects) == 3
    assert {item.outcome for item in defects} == {Outcome.OUT_OF_SERVICE}


def test_limits_of_readings_name_their_source(dozer: Checklist) -> None:
    """And leave the last word to the manual of the machine."""
    readings = [p.reading for p in dozer.checkpoints if p.reading is not None]
    limited = [r for r in readings if r.low is not None or r.high is not None]

    assert len(limited) == 3
    assert all("the manual of the machine" in r.limits_source for r in limited)


def test_start_checks_come_first(dozer: Checklist) -> None:
    """Nothing is looked at before it is safe."""
    kinds = [point.kind for point in dozer.checkpoints]

    assert kinds[:10] == [CheckpointKind.START] * 10
    assert CheckpointKind.START not in kinds[10:]


def test_the_korean_walk_is_whole(dozer: Checklist) -> None:
    """The same points and rules, and no English text stands in for a Korean one."""
    korean = load("track-dozer", "ko")

    assert [point.id for point in korean.checkpoints] == [
        point.id for point in dozer.checkpoints
    ]
    assert [rule.id for rule in korean.rules] == [rule.id for rule in dozer.rules]
    for point in korean.checkpoints:
        for text in (point.prompt, point.look, point.wrong, point.why, *point.hazards):
            assert any("가" <= letter <= "힣" for letter in text), point.id
