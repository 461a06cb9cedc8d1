"""The shipped wheel loader walk holds what a walkaround of a loader must hold."""

from __future__ import annotations

from itertools import pairwise

import pytest

from voicecheck.checklists import lint, unfit_answers
from voicecheck.checklists.speakable import spoken_s
from voicecheck.round.checklist import Checklist, CheckpointKind, Outcome, Place

WHEELS = ("left_front", "right_front", "right_rear", "left_rear")
WHEEL_PARTS = ("tread", "sidewalls", "rim", "nuts", "valve", "pressure")

# Topics of a loader walkaround in walking order: common practice, no source.
TOPICS: dict[str, tuple[str, ...]] = {
    "nobody in the cab or near the articulation": ("cab_empty", "joint_clear"),
    "level ground, implement lowered": ("level_ground", "bucket_down"),
    "park brake, chocks, isolation and tag": (
        "park_brake_set",
        "wheels_chocked",
        "isolated_tagged",
    ),
    "ground around the machine": ("ground_clear",),
    "bucket, welds, pins, bolts and retainers": ("bucket_welds", "bucket_pins"),
    "cutting edges and teeth": ("cutting_edge", "bucket_teeth"),
    "front lights and hydraulic lines": ("front_lights", "loader_lines"),
    "lift and tilt cylinders, boom, linkage": ("loader_cylinders", "boom"),
    "pivot greasing, back of the bucket": ("pivot_grease", "bucket_back"),
    "leaks under the front": ("front_leaks",),
    "fenders and their mounts": ("left_fenders", "right_fenders"),
    "articulation": (
        "joint_lines",
        "steering_cylinder_left",
        "steering_cylinder_right",
        "driveline",
        "centre_pins",
        "lock_bar",
    ),
    "transmission oil level": ("transmission_oil_level",),
    "pumps and driveline": ("driveline",),
    "handrails, steps and mirrors each side": (
        "left_steps",
        "right_steps",
        "left_mirror",
        "right_mirror",
    ),
    "master switch, breaker, batteries": ("master_switch", "batteries"),
    "service compartments": ("service_compartment",),
    "cooler cores and coolant": ("cooler_cores", "coolant_level"),
    "rear camera and lights": ("rear_lights",),
    "fan and guard": ("fan_guard",),
    "leaks under the rear": ("rear_leaks",),
    "exhaust fluid, fuel, caps": ("def_level", "fuel_level", "filler_caps"),
    "water separator, primary filter, tank drain": ("fuel_bowls",),
    "air cleaner and its indicator": ("air_cleaner", "air_restriction"),
    "engine compartment": ("engine_belts", "engine_lines", "engine_debris"),
    "engine oil level": ("engine_oil_level",),
    "second exit": ("second_exit",),
    "hydraulic oil level and tank mounts": ("hydraulic_oil_level", "hydraulic_tank"),
    "windscreen, wipers, washer fluid": (
        "windscreen",
        "wipers",
        "washer_fluid_level",
    ),
    "cab access and cleanliness": ("cab_access", "cab_clean"),
    "fire extinguisher": ("fire_extinguisher",),
    "roll over structure": ("rops",),
    "seat and belt": ("seat", "seat_belt"),
    "hour meter": ("hour_meter",),
    "function checks": (
        "horn",
        "reverse_alarm",
        "gauges",
        "work_lights",
        "steering",
        "service_brake",
        "park_brake",
        "secondary_steering",
        "camera_picture",
    ),
}


def test_lint_finds_nothing() -> None:
    """The shipped walk and its translations have no problem, not even a warning."""
    assert lint("wheel-loader") == ()


def test_size(wheel_loader: Checklist) -> None:
    """The walk has about ninety checkpoints in at least sixteen zones."""
    assert 88 <= len(wheel_loader.checkpoints) <= 100
    assert len(wheel_loader.zones) >= 16


@pytest.mark.parametrize("topic", TOPICS)
def test_topic_is_asked(wheel_loader: Checklist, topic: str) -> None:
    """Every topic of the trade has its checkpoints."""
    asked = {point.id for point in wheel_loader.checkpoints}
    assert set(TOPICS[topic]) <= asked


@pytest.mark.parametrize("wheel", WHEELS)
def test_each_wheel_once(wheel_loader: Checklist, wheel: str) -> None:
    """Each wheel has one zone of its own with every part asked once."""
    zone = wheel_loader.zone(f"{wheel}_wheel")
    assert [p.id for p in zone.checkpoints] == [f"{wheel}_{x}" for x in WHEEL_PARTS]
    pressure = wheel_loader.checkpoint(f"{wheel}_pressure")
    assert pressure.reading is not None
    assert pressure.reading.unit == "kPa"
    assert "out of line" in pressure.hazards[0]


def test_places_in_order(wheel_loader: Checklist) -> None:
    """All of the ground comes first, then platform and cab, then down again."""
    places = [zone.place for zone in wheel_loader.zones]
    changes = [places[0], *(b for a, b in pairwise(places) if a is not b)]
    assert changes == [
        Place.GROUND,
        Place.PLATFORM,
        Place.CAB,
        Place.PLATFORM,
        Place.GROUND,
    ]


def test_functions_last_in_the_cab(wheel_loader: Checklist) -> None:
    """Function checks are asked from the seat only, after belt and seat."""
    for point in wheel_loader.checkpoints:
        if point.kind is CheckpointKind.FUNCTION:
            assert wheel_loader.zone(point.zone_id).place is Place.CAB
    order = [point.id for point in wheel_loader.checkpoints]
    assert order.index("seat_belt") < order.index("horn") < order.index("steering")


def test_every_climb_has_its_caution(wheel_loader: Checklist) -> None:
    """Three points of contact are named before each climb, as mounting rules ask."""
    for before, after in pairwise(wheel_loader.zones):
        if before.place is not after.place:
            assert "Three points of contact" in after.climb_caution


def test_prompts_are_short(wheel_loader: Checklist) -> None:
    """No prompt is estimated to take longer than two and a half seconds."""
    longest = max(wheel_loader.checkpoints, key=lambda p: len(p.prompt))
    assert spoken_s(longest.prompt, "en") <= 2.5


def test_learners_texts_say_something(wheel_loader: Checklist) -> None:
    """What to look at, what is wrong and why are three different texts."""
    for point in wheel_loader.checkpoints:
        assert len({point.look, point.wrong, point.why, point.prompt}) == 4
        assert min(len(point.look), len(point.wrong), len(point.why)) >= 15, point.id


@pytest.mark.parametrize(
    ("checkpoint_id", "word"),
    [
        ("coolant_level", "hot"),
        ("loader_lines", "by hand"),
        ("joint_lines", "by hand"),
        ("batteries", "Acid"),
        ("steering_cylinder_left", "Crush zone"),
        ("steering_cylinder_right", "Crush zone"),
        ("left_front_pressure", "Never bleed a hot tyre"),
        ("horn", "nobody near"),
    ],
)
def test_hazards_are_spoken(
    wheel_loader: Checklist, checkpoint_id: str, word: str
) -> None:
    """Scalding, injection, acid, crushing and bursting tyres are warned of aloud."""
    assert word in " ".join(wheel_loader.checkpoint(checkpoint_id).hazards)


@pytest.mark.parametrize("checkpoint_id", ["service_brake", "park_brake"])
def test_brakes_as_the_manual_says(wheel_loader: Checklist, checkpoint_id: str) -> None:
    """The brake checks are those of the machine's manual (ISO 3450:2011, 4.12)."""
    assert "as the manual says" in wheel_loader.checkpoint(checkpoint_id).prompt


def test_the_tool_defers(wheel_loader: Checklist) -> None:
    """The cautions put manual, law, site and a competent person first."""
    said = " ".join(wheel_loader.cautions)
    for word in ("manual", "law", "site", "competent person", "judgement"):
        assert word in said


def test_limits_defer_to_the_manual(wheel_loader: Checklist) -> None:
    """Every limit says where it is from and that the manual comes first."""
    for point in wheel_loader.checkpoints:
        spec = point.reading
        if spec is not None and (spec.low, spec.high) != (None, None):
            assert "manual" in spec.limits_source


def test_every_bad_answer_has_a_rule(wheel_loader: Checklist) -> None:
    """Nothing bad is left to a default: some rule of the file says what follows."""
    for point in wheel_loader.checkpoints:
        for found in unfit_answers(wheel_loader, point):
            assert found.rule_ids, (point.id, found.answer)
            assert found.outcome is not Outcome.MAY_WORK
