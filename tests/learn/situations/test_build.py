"""Situations make sense, can be answered, and are decided by the round."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.checklists import available, load
from voicecheck.learn.events import Opened
from voicecheck.learn.situations import build
from voicecheck.round import events as ev
from voicecheck.round.answers import (
    Answer,
    Defect,
    Good,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    No,
    ReadingTaken,
    Severity,
    Yes,
)
from voicecheck.round.checklist import (
    Checklist,
    Checkpoint,
    CheckpointKind,
    Outcome,
    ReadingState,
)
from voicecheck.round.decision import Decision
from voicecheck.round.probing import fluids_at, problem_with
from voicecheck.round.walk import AskCheckpoint, Climb, Walk

MACHINES = tuple(load(one.name) for one in available())
ALL = tuple((machine, one) for machine in MACHINES for one in build(machine))
any_situation = st.integers(0, len(ALL) - 1)
"""Place in ALL: a checklist would be too long for a report."""

ON_THEIR_OWN_CASE = {
    "engine_oil": {
        "belly_guards",
        "engine_lines",
        "front_ground",
        "front_leaks",
        "ground_after_run",
        "pumps",
        "rear_ground",
        "rear_leaks",
        "service_compartment",
    },
    "battery_acid": {"batteries"},
    "def": {"filler_caps"},
}
"""Where these fluids can be at all; common practice, no source."""


def nothing_wrong(point: Checkpoint) -> Answer:
    """Return an answer that is no finding."""
    match point.kind:
        case CheckpointKind.START:
            return Yes()
        case CheckpointKind.LEVEL:
            return LevelSeen(level=Level.BETWEEN)
        case CheckpointKind.READING:
            spec = point.reading
            assert spec is not None
            for value in range(int(spec.plausible_min), int(spec.plausible_max)):
                taken = ReadingTaken(value=type(spec.plausible_min)(value))
                if spec.state(taken.value) is ReadingState.IN_LIMITS:
                    return taken
    return Good()


def walked(checklist: Checklist, found: dict[str, Answer]) -> Decision:
    """Walk the whole machine by events, good but for what was found."""
    walk = Walk(checklist)
    walk.apply(
        ev.WalkStarted(
            unit="L-12",
            operator="J.Doe",
            checklist=checklist.name,
            checklist_version=checklist.version,
            checklist_sha256=checklist.sha256,
        )
    )
    while not walk.over:
        match walk.task:
            case Climb() as climb:
                walk.apply(ev.ClimbDone(zone_id=climb.zone.id))
            case AskCheckpoint() as ask:
                point = ask.checkpoint
                answer = found.get(point.id) or nothing_wrong(point)
                walk.apply(ev.AnswerConfirmed(checkpoint_id=point.id, answer=answer))
            case _:
                walk.apply(ev.Declared(accepted=True))
    return walk.decision


@settings(max_examples=50, deadline=None)
@given(any_situation)
def test_may_it_work_is_the_decision_of_a_whole_walk(
    at: int,
) -> None:
    """A signed walk with this finding, and all else good, decides the same."""
    checklist, one = ALL[at]
    decision = walked(checklist, dict(one.answers))

    assert one.expected.may_work == (decision.outcome is not Outcome.OUT_OF_SERVICE)
    if not isinstance(one.answer, No):  # a stopped walk has one reason more
        assert decision == one.decision


@pytest.mark.parametrize("checklist", MACHINES, ids=lambda one: one.name)
def test_every_answer_is_taken_at_its_checkpoint(checklist: Checklist) -> None:
    """All of them, by the rules of the round, known levels included."""
    for one in build(checklist):
        for point, answer in one.answers:
            checkpoint = checklist.checkpoint(point)
            assert problem_with(checklist, checkpoint, answer) is None, one.id


@pytest.mark.parametrize("checklist", MACHINES, ids=lambda one: one.name)
def test_every_point_can_be_practised_both_ways(checklist: Checklist) -> None:
    """Every point but the hour meter, which has no limits, good and not good."""
    signals: dict[str, set[bool]] = {}
    for one in build(checklist):
        signals.setdefault(one.checkpoint_id, set()).add(one.signal)

    expected = {point.id for point in checklist.checkpoints} - {"hour_meter"}
    assert signals.keys() == expected
    assert all(ways == {True, False} for ways in signals.values())


@pytest.mark.parametrize("checklist", MACHINES, ids=lambda one: one.name)
def test_more_than_five_hundred_distinct_situations(checklist: Checklist) -> None:
    """No two tell the same of the same point, and each has an id of its own."""
    made = build(checklist)

    assert len(made) > 500
    assert len({(one.checkpoint_id, one.text) for one in made}) == len(made)
    assert len({one.id for one in made}) == len(made)


@pytest.mark.parametrize("checklist", MACHINES, ids=lambda one: one.name)
def test_one_kind_is_called_one_way_at_one_point(checklist: Checklist) -> None:
    """What a card asks for does not depend on which of its texts is shown."""
    seen: dict[tuple[str, str], object] = {}
    for one in build(checklist):
        key = (one.kind, one.checkpoint_id)
        assert seen.setdefault(key, one.expected) == one.expected, one.id


@settings(deadline=None)
@given(any_situation)
def test_only_fluids_that_can_be_there_leak(at: int) -> None:
    """No rim leaks engine oil; no fluid comes out where no fluid is named."""
    checklist, one = ALL[at]
    if not isinstance(one.answer, Leak):
        return
    point = checklist.checkpoint(one.checkpoint_id)

    assert one.answer.fluid in fluids_at(checklist, point)
    assert point.fluids or point.id == "ground_after_run"
    places = ON_THEIR_OWN_CASE.get(one.answer.fluid)
    assert places is None or point.id in places
    assert one.caution


LOOKS = {
    LeakClass.ONE: r"No drop forms|without a drop|Nothing hangs from it",
    LeakClass.TWO: r"[Dd]rops? .*(does not fall|stay there)",
    LeakClass.THREE: r"Drops of .* fall from|A drop of .*, falls, and",
}


@pytest.mark.parametrize("leak_class", LeakClass)
def test_leaks_look_as_the_manuals_define_their_class(leak_class: LeakClass) -> None:
    """I wet, no drops form; II drops form, do not fall; III drops form and fall.

    Source: TM 5-3895-383-24, 1-10, and others (facts, section 2).
    """
    texts = [
        one.text
        for _, one in ALL
        if isinstance(one.answer, Leak) and one.answer.leak_class is leak_class
    ]

    assert texts
    for text in texts:
        fits = {cls for cls, look in LOOKS.items() if re.search(look, text)}
        assert fits == {leak_class}, text


@pytest.mark.parametrize(
    ("fluid", "leak_class", "level", "may_work"),
    [
        ("engine_oil", "I", "", True),
        ("engine_oil", "II", "", True),
        ("engine_oil", "III", "between", True),
        ("engine_oil", "III", "low", False),
        ("engine_oil", "III", "unknown", False),
        ("fuel", "I", "", False),
        ("fuel", "II", "", False),
        ("fuel", "III", "between", False),
    ],
)
def test_leaks_are_decided_as_the_manuals_say(
    loader: Checklist, fluid: str, leak_class: str, level: str, may_work: bool
) -> None:
    """I and II go on; III only with the level in range; fuel never.

    Source: TM 5-3895-369-14, 4-10, and TM 10-3930-671-10, 3-3; fuel: TM
    5-3895-383-24 and TM 9-6115-653-14&P. An unknown level counts as low: ours.
    """
    kind = "/".join(part for part in ("leak", fluid, leak_class, level) if part)
    found = [one for one in build(loader) if one.kind == kind]

    assert found
    assert {one.expected.may_work for one in found} == {may_work}


@settings(deadline=None)
@given(any_situation)
def test_nothing_good_is_a_finding_and_nothing_wrong_is_called_good(
    at: int,
) -> None:
    """What is good has no rule against it; what is wrong has one, or is none."""
    _, one = ALL[at]

    assert one.signal == bool(one.decision.reasons)
    if not one.signal:
        assert one.expected.may_work
    if isinstance(one.answer, Defect):
        assert one.why
        assert one.expected.severity is one.answer.severity
        if one.answer.severity is Severity.CRITICAL:
            assert not one.expected.may_work


@settings(deadline=None)
@given(any_situation)
def test_texts_are_finished_sentences(at: int) -> None:
    """Every slot is filled, it begins with a capital and ends with a full stop."""
    _, one = ALL[at]

    assert not re.search(r"[{}]|\s\s|\bNone\b", one.text)
    assert one.text[0].isupper() or one.text[0].isdigit()
    assert one.text.endswith(".")
    assert len(one.text) <= 230


def test_nobody_is_named() -> None:
    """No maker, person or place: no capital inside a sentence, no model number."""
    for _, one in ALL:
        for text in (one.text, one.why, one.caution):
            inside = re.findall(r"(?<=[a-z,;] )[A-Z]\w*", text)
            assert not set(inside) - {"kPa"}, text
            if not isinstance(one.answer, ReadingTaken):
                assert not re.search(r"\d", text), text


def test_all_ways_to_call_occur() -> None:
    """Every first answer, class and severity is practised on the wheel loader."""
    made = [one for checklist, one in ALL if checklist.name == "wheel-loader"]

    assert {one.expected.opened for one in made} == set(Opened)
    assert Counter(one.expected.severity for one in made).keys() >= set(Severity)
    assert Counter(one.expected.leak_class for one in made).keys() >= set(LeakClass)
    assert {one.expected.may_work for one in made if one.signal} == {True, False}
