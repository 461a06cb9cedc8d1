"""Parts add up to answers and fall apart into the same parts again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.round import answers as an
from voicecheck.round.checklist import Checklist, CheckpointKind, Fluid
from voicecheck.round.probing import (
    QuestionName,
    first_question,
    fluids_at,
    next_question,
    problem_with,
    to_answer,
    to_parts,
)
from voicecheck.testing.small_checklist import small_checklist
from voicecheck.testing.strategies import answer_at, checklists

CHECKLIST = small_checklist()
Q = QuestionName

ONE_OF_EACH: tuple[an.Answer, ...] = (
    an.Yes(),
    an.No(),
    an.Good(),
    an.Defect(fault=an.Fault.BENT, severity=an.Severity.MINOR),
    an.Leak(fluid="fuel", leak_class=an.LeakClass.TWO),
    an.NotFitted(),
    an.CouldNotCheck(reason=an.Reason.TOO_DARK),
    an.LevelSeen(level=an.Level.LOW),
    an.ReadingTaken(value=Decimal(450)),
)

TAKEN: Mapping[CheckpointKind, tuple[type, ...]] = {
    CheckpointKind.START: (an.Yes, an.No),
    CheckpointKind.CONDITION: (
        an.Good,
        an.Defect,
        an.Leak,
        an.NotFitted,
        an.CouldNotCheck,
    ),
    CheckpointKind.FUNCTION: (
        an.Good,
        an.Defect,
        an.Leak,
        an.NotFitted,
        an.CouldNotCheck,
    ),
    CheckpointKind.LEVEL: (an.LevelSeen, an.Leak, an.NotFitted, an.CouldNotCheck),
    CheckpointKind.READING: (an.ReadingTaken, an.NotFitted, an.CouldNotCheck),
}
"""Which answers each kind of point takes where the part may be absent."""


def of_kind(kind: CheckpointKind) -> str:
    """Return a point of a kind that may be absent, with all fluids."""
    return next(p.id for p in EVERY_KIND.checkpoints if p.kind is kind)


def _every_kind() -> Checklist:
    zones = tuple(
        replace(
            zone,
            checkpoints=tuple(
                replace(p, may_be_absent=True, fluids=()) for p in zone.checkpoints
            ),
        )
        for zone in CHECKLIST.zones
    )
    return replace(CHECKLIST, zones=zones)


EVERY_KIND = _every_kind()


@given(st.data())
@settings(max_examples=25, deadline=None)
def test_parts_of_any_answer_add_up_to_it_again(data: st.DataObject) -> None:
    """to_answer undoes to_parts for every answer that a point takes."""
    checklist = data.draw(checklists())
    point = data.draw(st.sampled_from(checklist.checkpoints))
    answer = data.draw(answer_at(checklist, point))

    parts = to_parts(point, answer)

    assert to_answer(checklist, point, parts) == answer
    assert problem_with(checklist, point, answer) is None


@pytest.mark.parametrize("answer", ONE_OF_EACH, ids=lambda a: type(a).__name__)
def test_parts_of_each_kind_of_answer(answer: an.Answer) -> None:
    """The first part is the answer's name, its level or its number."""
    kind = next(kind for kind, taken in TAKEN.items() if isinstance(answer, taken))
    point = EVERY_KIND.checkpoint(of_kind(kind))

    parts = to_parts(point, answer)

    assert next(iter(parts)) is first_question(point).name
    assert to_answer(EVERY_KIND, point, parts) == answer


@given(st.data())
@settings(max_examples=25, deadline=None)
def test_questions_lead_to_any_answer_and_then_end(data: st.DataObject) -> None:
    """Answering what is asked, and nothing else, completes every answer."""
    checklist = data.draw(checklists())
    point = data.draw(st.sampled_from(checklist.checkpoints))
    answer = data.draw(answer_at(checklist, point))
    meant = to_parts(point, answer)
    told: dict[QuestionName, str] = {}

    while (question := next_question(checklist, point, told)) is not None:
        with pytest.raises(ValueError, match=f"the {question.name} is still missing"):
            to_answer(checklist, point, told)
        meaning = meant[question.name]
        if question.meanings is not None and question.name is not Q.NUMBER:
            assert meaning in question.meanings
        told[question.name] = meaning

    assert to_answer(checklist, point, told) == answer


@pytest.mark.parametrize(
    ("kind", "answer"),
    list(product(CheckpointKind, ONE_OF_EACH)),
    ids=lambda value: value.value if isinstance(value, CheckpointKind) else None,
)
def test_each_kind_takes_its_own_answers_only(
    kind: CheckpointKind, answer: an.Answer
) -> None:
    """All pairs of kind and answer: the table of design, nothing more."""
    point = EVERY_KIND.checkpoint(of_kind(kind))

    problem = problem_with(EVERY_KIND, point, answer)

    assert (problem is None) == isinstance(answer, TAKEN[kind]), problem


@pytest.mark.parametrize(
    ("point_id", "opened", "questions"),
    [
        ("horn", "good", []),
        ("horn", "defect", [Q.FAULT, Q.SEVERITY]),
        ("horn", "leak", [Q.FLUID, Q.LEAK_CLASS]),
        ("horn", "could_not_check", [Q.REASON]),
        ("leaks_below", "leak", [Q.LEAK_CLASS]),
        ("engine_oil", "low", []),
        ("parked", "no", []),
        ("left_tyre", "450", []),
        ("left_tyre", "could_not_check", [Q.REASON]),
    ],
)
def test_what_is_asked_after_the_first_word(
    point_id: str, opened: str, questions: list[QuestionName]
) -> None:
    """A defect leads to kind and severity, a leak to fluid and class; a fluid is
    asked for only where there is more than one."""
    point = CHECKLIST.checkpoint(point_id)
    parts = {first_question(point).name: opened}
    asked = []

    while (question := next_question(CHECKLIST, point, parts)) is not None:
        asked.append(question.name)
        parts[question.name] = "x"

    assert asked == questions


@pytest.mark.parametrize(
    ("point_id", "absent"), [("belts", True), ("left_wheel", False), ("horn", False)]
)
def test_not_fitted_is_offered_where_the_part_may_be_absent(
    point_id: str, absent: bool
) -> None:
    """Elsewhere it is neither among the meanings nor taken."""
    point = CHECKLIST.checkpoint(point_id)

    assert ("not_fitted" in (first_question(point).meanings or ())) is absent
    assert (problem_with(CHECKLIST, point, an.NotFitted()) is None) is absent


@pytest.mark.parametrize(
    ("point_id", "parts"),
    [
        ("horn", {Q.CONDITION: "full"}),
        ("horn", {Q.CONDITION: "not_fitted"}),
        ("horn", {Q.CONDITION: "pause"}),
        ("horn", {Q.CONDITION: "defect", Q.FAULT: "gone", Q.SEVERITY: "minor"}),
        ("horn", {Q.CONDITION: "defect", Q.FAULT: "bent", Q.SEVERITY: "awful"}),
        ("horn", {Q.CONDITION: "leak", Q.FLUID: "milk", Q.LEAK_CLASS: "I"}),
        ("horn", {Q.CONDITION: "leak", Q.FLUID: "fuel", Q.LEAK_CLASS: "IV"}),
        ("horn", {Q.CONDITION: "could_not_check", Q.REASON: "lazy"}),
        ("engine_oil", {Q.LEVEL: "good"}),
        ("parked", {Q.START_CHECK: "good"}),
        ("left_tyre", {Q.NUMBER: "full"}),
        ("left_tyre", {Q.NUMBER: "NaN"}),
        ("left_tyre", {Q.NUMBER: "Infinity"}),
        ("left_tyre", {Q.NUMBER: "not_fitted"}),
    ],
)
def test_parts_that_make_no_answer_are_refused(
    point_id: str, parts: dict[QuestionName, str]
) -> None:
    """A meaning that the point does not have never becomes an answer."""
    with pytest.raises(ValueError, match=r"\S"):
        to_answer(CHECKLIST, CHECKLIST.checkpoint(point_id), parts)


def test_a_leak_without_any_fluid_is_refused() -> None:
    """A checklist that names no fluids cannot record a leak."""
    dry = replace(CHECKLIST, fluids=())
    parts = {Q.CONDITION: "leak", Q.LEAK_CLASS: "I"}

    with pytest.raises(ValueError, match="does not hold the fluid"):
        to_answer(dry, dry.checkpoint("horn"), parts)


@pytest.mark.parametrize(
    ("point_id", "answer", "says"),
    [
        ("horn", an.Leak(fluid="milk", leak_class=an.LeakClass.ONE), "engine_oil"),
        ("leaks_below", an.Leak(fluid="engine_oil", leak_class=an.LeakClass.ONE), "f"),
        ("left_tyre", an.ReadingTaken(value=Decimal(1001)), "between 0 and 1000 kPa"),
        ("left_tyre", an.ReadingTaken(value=Decimal(-1)), "between 0 and 1000 kPa"),
        ("left_tyre", an.ReadingTaken(value=Decimal("NaN")), "between"),
        ("left_tyre", an.ReadingTaken(value=Decimal("450.5")), "too many digits"),
        ("hour_meter", an.ReadingTaken(value=Decimal("4527.31")), "too many digits"),
    ],
)
def test_answers_that_do_not_fit_say_why(
    point_id: str, answer: an.Answer, says: str
) -> None:
    """A fluid that is not there, a value that cannot be."""
    problem = problem_with(CHECKLIST, CHECKLIST.checkpoint(point_id), answer)

    assert problem is not None
    assert says in problem


@pytest.mark.parametrize("value", ["0", "1000", "450", "450.0", "4.5E+2"])
def test_readings_on_the_edge_and_in_other_spellings_fit(value: str) -> None:
    """The ends of the plausible range belong to it; zeros after the point are none."""
    point = CHECKLIST.checkpoint("left_tyre")

    assert problem_with(CHECKLIST, point, an.ReadingTaken(value=Decimal(value))) is None


def test_a_reading_needs_a_unit_and_a_range() -> None:
    """A point that has neither takes no number."""
    bare = replace(CHECKLIST.checkpoint("left_tyre"), reading=None)

    problem = problem_with(CHECKLIST, bare, an.ReadingTaken(value=Decimal(450)))

    assert problem is not None
    assert "has no unit" in problem


def test_any_fluid_leaks_where_none_is_named() -> None:
    """A point without fluids of its own has all of the checklist."""
    more = replace(
        CHECKLIST,
        fluids=(*CHECKLIST.fluids, Fluid(id="coolant", name="coolant", unit="L")),
    )

    assert fluids_at(more, more.checkpoint("horn")) == (
        "engine_oil",
        "fuel",
        "coolant",
    )
    assert fluids_at(more, more.checkpoint("leaks_below")) == ("fuel",)
