"""The guided walk: the checklist's own words, at the learner's pace."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.checklists.loader import load
from voicecheck.errors import LearnError
from voicecheck.learn.events import Look
from voicecheck.learn.sessions.guided import Guided, resume_point
from voicecheck.round.checklist import CheckpointKind
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()
IDS = [point.id for point in SMALL.checkpoints]
LOADER = load("wheel-loader")
WORDS = ("next", "again", "back", "why", "wrong")


def at(point_id: str) -> Guided:
    """A walk round the wheel loader that begins at a point."""
    return Guided(LOADER, begin_at=point_id)


@given(st.lists(st.sampled_from([*WORDS, "?"]), max_size=60))
def test_only_next_goes_on_and_every_point_gone_through_is_told(
    words: list[str],
) -> None:
    """The place is the nexts less the backs; one event for each next, none else."""
    session, at = Guided(SMALL), 0

    for word in words:
        if session.finished:
            break
        feedback = session.hint() if word == "?" else session.answer(word)
        expected = ()
        if word == "next":
            expected = (Look(checklist="small", checkpoint=IDS[at]),)
            at += 1
        elif word == "back":
            at = max(0, at - 1)
        assert feedback.events == expected
        assert feedback.right is None
        assert session.checkpoint_id == (IDS[at] if at < len(IDS) else None)

    assert session.finished == (at == len(IDS))


@pytest.mark.parametrize("language", ["en", "ko"])
def test_each_point_is_told_in_full(language: str) -> None:
    """Hazards come before the question, then look, wrong and why, word for word."""
    checklist = load("wheel-loader", language)
    session = Guided(checklist)

    for point in checklist.checkpoints:
        text = session.ask().text
        parts = [*point.hazards, point.prompt, point.look, point.wrong, point.why]
        places = [text.index(part) for part in parts]
        assert places == sorted(places), point.id
        if point.kind is CheckpointKind.START:
            assert point.stop_text in text
        session.answer("next")

    assert session.finished
    assert str(len(checklist.checkpoints)) in session.ending().text


def test_it_begins_with_the_cautions_and_says_them_once() -> None:
    """The tool's cautions stand before the first point, wherever that is."""
    session = at("left_steps")

    first = session.ask().text
    session.answer("next")

    assert all(caution in first for caution in LOADER.cautions)
    assert LOADER.cautions[0] not in session.ask().text


def test_a_climb_has_its_caution() -> None:
    """Where the place changes the caution comes before the point, else not."""
    session = at("left_steps")
    before = session.ask().text
    session.answer("next")

    caution = LOADER.zone("platform").climb_caution
    assert "hree points of contact" in caution
    assert caution in session.ask().text
    assert caution not in before


def test_a_part_is_said_alone_and_the_whole_again_on_request() -> None:
    """After why or what is wrong only "next" is asked for, until "again"."""
    session = at("horn")
    point, whole = LOADER.checkpoint("horn"), session.ask().text

    why = session.answer("why")
    wrong = session.answer("wrong")

    assert point.why in why.text and point.why not in wrong.text
    assert point.wrong in wrong.text
    assert point.look not in session.ask().text
    session.answer("again")
    assert session.ask().text == whole


def test_another_sitting_goes_on_behind_the_last_point() -> None:
    """A walk that was broken off is taken up; one gone through begins anew."""
    assert resume_point(SMALL, []) is None
    assert resume_point(SMALL, [IDS[0], IDS[3], "of another version"]) == IDS[4]
    assert resume_point(SMALL, [IDS[-1]]) is None
    assert Guided(SMALL, begin_at=IDS[4]).checkpoint_id == IDS[4]


def test_a_part_of_the_walk_can_be_chosen() -> None:
    """Only the chosen zones, in walking order."""
    session = Guided(SMALL, zones=["cab", "left_side"])
    seen = []

    while not session.finished:
        seen.append(session.checkpoint_id)
        session.answer("next")

    assert seen == ["left_tyre", "left_wheel", "leaks_below", "horn", "camera"]


def test_what_leads_nowhere_is_an_error_that_says_what_may_be_said() -> None:
    """Unknown words, zones and points are named; the end has no question."""
    with pytest.raises(LearnError, match="next, again"):
        Guided(SMALL).answer("good")
    with pytest.raises(LearnError, match="approach"):
        Guided(SMALL, zones=["roof"])
    with pytest.raises(LearnError, match="hour_meter"):
        Guided(SMALL, begin_at="roof")
    over = Guided(SMALL, zones=["cab"])
    over.answer("next")
    over.answer("next")
    with pytest.raises(LearnError, match="over"):
        over.ask()
