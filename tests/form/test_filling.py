"""The typed walk answered from an answers file."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.clock import ManualClock
from voicecheck.errors import AnswersFileError
from voicecheck.form.filling import HOW, check_complete, fill
from voicecheck.round import events as ev
from voicecheck.round.answers import No
from voicecheck.round.walk import Phase
from voicecheck.store.session import WalkSession
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import (
    bad_answers,
    good_answers,
    small_checklist,
)

CHECKLIST = small_checklist()


@pytest.fixture
def session() -> WalkSession:
    """Give a walk that has just begun."""
    return WalkSession.start(
        MemoryJournal(),
        ManualClock(),
        CHECKLIST,
        unit="L-12",
        mode="typed",
        folder=Path("unused"),
    )


def test_every_point_is_answered_and_signed(session: WalkSession) -> None:
    """From the first point to the declaration."""
    fill(session, bad_answers())

    assert session.walk.phase is Phase.SIGNED
    assert session.walk.answers == bad_answers()


def test_each_answer_says_that_it_was_typed() -> None:
    """Typed, confirmed by typing, and nobody knows when it was looked at."""
    assert (HOW.mode, HOW.confirmed_by) == ("typed", "typed")
    assert HOW.after_prompt_s is None
    assert not HOW.too_fast


def test_missing_points_are_all_named(session: WalkSession) -> None:
    """And nothing is recorded."""
    answers = good_answers()
    for name in ("parked", "belts", "camera"):
        del answers[name]

    with pytest.raises(AnswersFileError, match=r"3 of 10 .* parked, belts, camera"):
        fill(session, answers)

    assert session.walk.answers == {}


def test_a_no_ends_the_walk_and_needs_nothing_after_it(session: WalkSession) -> None:
    """A start check answered no: the walk is stopped, not signed."""
    answers = {"hour_meter": good_answers()["hour_meter"], "parked": No()}

    check_complete(CHECKLIST, answers)
    fill(session, answers)

    assert session.walk.phase is Phase.STOPPED
    assert session.walk.declared is None


def test_a_walk_begun_otherwise_is_filled_up(session: WalkSession) -> None:
    """What was answered before stays; a paused walk is carried on."""
    session.commit(
        ev.AnswerConfirmed(
            checkpoint_id="hour_meter", answer=good_answers()["hour_meter"]
        )
    )
    session.commit(ev.WalkPaused())

    fill(session, good_answers())

    assert session.walk.phase is Phase.SIGNED


def test_what_was_confirmed_is_never_overwritten(session: WalkSession) -> None:
    """A file that says something else is refused, and names the point."""
    session.commit(
        ev.AnswerConfirmed(
            checkpoint_id="hour_meter", answer=good_answers()["hour_meter"]
        )
    )
    answers = {**good_answers(), "hour_meter": good_answers()["left_tyre"]}

    with pytest.raises(AnswersFileError, match="hour_meter"):
        fill(session, answers)

    assert len(session.walk.answers) == 1
