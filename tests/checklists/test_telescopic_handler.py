"""The shipped handler walk holds what such a walkaround must hold."""

from __future__ import annotations

import pytest

from voicecheck.checklists import lint, load, unfit_answers
from voicecheck.round.answers import Defect, Leak, LeakClass
from voicecheck.round.checklist import Checklist, CheckpointKind, Outcome

# Topics of a telescopic handler's walkaround: common practice, no source.
TOPICS: dict[str, tuple[str, ...]] = {
    "nobody in the cab or at the boom, boom down": (
        "cab_empty",
        "boom_clear",
        "boom_down",
    ),
    "forks: blades, heels, locks": ("fork_blades", "fork_heels", "fork_locks"),
    "carriage and quick attach": ("carriage", "attachment_lock"),
    "boom sections and wear pads": ("boom_sections", "wear_pads"),
    "chains and hoses of the boom": ("boom_chains", "boom_hoses", "head_lines"),
    "angle and extension": ("boom_angle_mark", "boom_length_marks"),
    "boom prop": ("boom_prop",),
    "load moment indicator, cut out, charts": (
        "load_indicator",
        "motion_cutout",
        "load_charts",
        "capacity_plate",
    ),
    "stabilisers": (
        "right_stabiliser_leg",
        "left_stabiliser_leg",
        "right_stabiliser_cylinder",
        "left_stabiliser_cylinder",
        "stabiliser_function",
    ),
    "frame levelling": ("level_cylinder", "frame_level", "levelling_function"),
    "steering of both axles, all modes": (
        "steering_links_front",
        "steering_links_rear",
        "steering",
    ),
    "the blind right side": ("right_mirror", "right_camera", "camera_picture"),
    "belt": ("seat_belt",),
    "brakes": ("service_brake", "park_brake", "drive_cutout"),
    "lights, horn, reversing alarm": ("work_lights", "horn", "reverse_alarm"),
}
WHEELS = ("right_front", "right_rear", "left_rear", "left_front")
PARTS = ("tread", "sidewalls", "rim", "nuts", "valve", "pressure")


@pytest.fixture(scope="module")
def handler() -> Checklist:
    """Return the checklist in English."""
    return load("telescopic-handler")


def test_lint_finds_nothing() -> None:
    """No error and no warning."""
    assert lint("telescopic-handler") == ()


def test_it_is_as_complete_as_the_wheel_loader(handler: Checklist) -> None:
    """At least as many points."""
    assert len(handler.checkpoints) >= len(load("wheel-loader").checkpoints)


@pytest.mark.parametrize("topic", TOPICS)
def test_topic_is_asked(handler: Checklist, topic: str) -> None:
    """By these points."""
    assert {point.id for point in handler.checkpoints} >= set(TOPICS[topic])


@pytest.mark.parametrize("wheel", WHEELS)
def test_each_wheel_is_asked_whole(handler: Checklist, wheel: str) -> None:
    """Six points, in one zone."""
    zones = {handler.checkpoint(f"{wheel}_{part}").zone_id for part in PARTS}

    assert len(zones) == 1


def test_a_foam_filled_tyre_has_no_pressure(handler: Checklist) -> None:
    """So "not fitted" is an answer there, and nowhere else at a wheel."""
    absent = {
        f"{wheel}_{part}"
        for wheel in WHEELS
        for part in PARTS
        if handler.checkpoint(f"{wheel}_{part}").may_be_absent
    }

    assert absent == {f"{wheel}_pressure" for wheel in WHEELS}


# Forks: ISO 5057 [from memory]; the rest as the checklist's own rules cite.
@pytest.mark.parametrize(
    "point_id",
    [
        "fork_blades",
        "fork_heels",
        "fork_locks",
        "attachment_lock",
        "boom_sections",
        "boom_chains",
        "boom_pivot",
        "load_indicator",
        "motion_cutout",
        "load_charts",
        "stabiliser_function",
        "right_mirror",
        "steering_links_front",
        "steering_links_rear",
        "service_brake",
        "park_brake",
        "seat_belt",
        "rops",
    ],
)
def test_any_defect_here_is_enough(handler: Checklist, point_id: str) -> None:
    """Even a minor one puts the machine out of service."""
    found = unfit_answers(handler, handler.checkpoint(point_id))
    defects = [item for item in found if isinstance(item.answer, Defect)]

    assert len(defects) == 3
    assert {item.outcome for item in defects} == {Outcome.OUT_OF_SERVICE}


@pytest.mark.parametrize(
    "point_id", ["lift_cylinders", "level_cylinder", "left_stabiliser_cylinder"]
)
def test_drops_at_a_holding_cylinder_stop_it(handler: Checklist, point_id: str) -> None:
    """Our own cautious default, no source: class two and three."""
    found = unfit_answers(handler, handler.checkpoint(point_id))
    outcomes = {
        item.answer.leak_class: item.outcome
        for item in found
        if isinstance(item.answer, Leak) and item.answer.fluid == "hydraulic_oil"
    }

    assert outcomes[LeakClass("I")] is Outcome.MAY_WORK_WITH_DEFECTS
    assert outcomes[LeakClass("II")] is Outcome.OUT_OF_SERVICE
    assert outcomes[LeakClass("III")] is Outcome.OUT_OF_SERVICE


def test_limits_of_readings_name_their_source(handler: Checklist) -> None:
    """And leave the last word to the manual of the machine."""
    readings = [p.reading for p in handler.checkpoints if p.reading is not None]
    limited = [r for r in readings if r.low is not None or r.high is not None]

    assert len(limited) == 5
    assert all("the manual of the machine" in r.limits_source for r in limited)


def test_the_cab_is_climbed_into_and_left_once(handler: Checklist) -> None:
    """Ground first, then the cab, then the ground again."""
    places = [zone.place.value for zone in handler.zones]
    changes = [p for n, p in enumerate(places) if n == 0 or p != places[n - 1]]

    assert changes == ["ground", "cab", "ground"]
    assert handler.checkpoints[0].kind is CheckpointKind.START


def test_the_korean_walk_is_whole(handler: Checklist) -> None:
    """The same points and rules, and no English text stands in for a Korean one."""
    korean = load("telescopic-handler", "ko")

    assert [point.id for point in korean.checkpoints] == [
        point.id for point in handler.checkpoints
    ]
    assert [rule.id for rule in korean.rules] == [rule.id for rule in handler.rules]
    for point in korean.checkpoints:
        for text in (point.prompt, point.look, point.wrong, point.why, *point.hazards):
            assert any("가" <= letter <= "힣" for letter in text), point.id
