"""From words to marks."""

from __future__ import annotations

from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.checklists import load
from voicecheck.clock import ManualClock
from voicecheck.observe.marks import Mark, MarkKind, MarkWay, Retraction, mark_problem
from voicecheck.observe.observation import fold
from voicecheck.observe.spoken.marking import Marking
from voicecheck.observe.spoken.words import GO_TO

OBSERVATION = UUID(int=7)
CHECKLIST = load("wheel-loader")
POINTS = CHECKLIST.checkpoints


def marking(standing: tuple[Mark, ...] = ()) -> Marking:
    """Return an assessor at the beginning, or after marks."""
    return Marking(CHECKLIST, OBSERVATION, "M.Roe", ManualClock(), standing)


def test_a_look_goes_on_and_an_act_stays() -> None:
    """Looks lead to the next point; an act or a call belongs to the point at hand."""
    talk = marking()

    steps = [talk.take(m) for m in ("looked", "unsafe", "called", "missed")]

    at = [step.event.checkpoint for step in steps if isinstance(step.event, Mark)]
    assert at == [POINTS[0].id, POINTS[1].id, POINTS[1].id, POINTS[1].id]
    assert talk.point == POINTS[2]
    assert steps[3].read_back == f"missed, {POINTS[1].prompt.rstrip('?')}"
    for step in steps:
        assert isinstance(step.event, Mark)
        assert step.event.way is MarkWay.SPOKEN
        assert mark_problem(step.event) is None


def test_undo_takes_the_newest_back_and_goes_there() -> None:
    """Again and again, also marks of an earlier sitting; never somebody else's."""
    first = marking()
    mark = first.take("looked").event
    assert isinstance(mark, Mark)
    talk = marking((mark,))
    talk.take("glanced")

    undone = [talk.take("undo"), talk.take("undo"), talk.take("undo")]

    assert isinstance(undone[1].event, Retraction)
    assert undone[1].event.mark == mark.key
    assert undone[2].event is None
    assert undone[2].read_back == "nothing to take back"
    assert talk.point == POINTS[0]


def test_a_jump_goes_to_the_first_point_of_a_zone() -> None:
    """And says the zone."""
    talk = marking()

    step = talk.take(f"{GO_TO}cab")

    assert (step.event, step.read_back) == (None, "the cab")
    assert talk.point == CHECKLIST.zone("cab").checkpoints[0]


def test_the_ends_of_the_round_hold() -> None:
    """No step leads beyond them; "stop marking" ends."""
    talk = marking()

    assert talk.take("previous").read_back == "last point"
    assert talk.take("which").read_back == POINTS[0].prompt.rstrip("?")
    assert talk.take("stop").over


@given(st.lists(st.sampled_from([*MarkKind, "undo", "next", "previous", "which"])))
def test_what_was_kept_is_what_stands(words: list[str]) -> None:
    """The fold of the events has one mark for each mark word that was not undone."""
    talk = marking()
    wanted: list[str] = []
    events = []
    for word in words:
        step = talk.take(word)
        if step.event is not None:
            events.append(step.event)
        if word in set(MarkKind):
            wanted.append(word)
        elif word == "undo" and wanted:
            wanted.pop()

    seen = fold(OBSERVATION, events)
    assert sorted(mark.kind for mark in seen.marks) == sorted(wanted)


@pytest.mark.parametrize("language", ["en", "ko"])
def test_every_read_back_has_its_words(language: str) -> None:
    """In both languages."""
    talk = Marking(load("wheel-loader", language), OBSERVATION, "M.Roe", ManualClock())
    for kind in set(MarkKind) - {MarkKind.REAL_FAULT}:
        assert talk.take(kind.value).read_back
    assert talk.take("undo").read_back
