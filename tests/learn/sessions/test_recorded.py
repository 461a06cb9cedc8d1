"""A sitting that broke off is taken up where it was, and nothing is judged twice."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID

from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.checklists import load
from voicecheck.learn.events import LearnEvent, Mode, Order, Review, Said
from voicecheck.learn.history import Done
from voicecheck.learn.sessions.next_point import DONE, NextPoint
from voicecheck.learn.sessions.recorded import Recorded, left_open, take_up

LOADER = load("wheel-loader")
ZONES = ("bucket", "joint_left")
SCOPE = "wheel-loader,False,bucket,joint_left"


def fresh() -> NextPoint:
    """Return the session of two zones."""
    return NextPoint(LOADER, zones=ZONES)


def kept(events: list[LearnEvent]) -> list[Done]:
    """Return events as they come back from the store."""
    start = datetime(2026, 11, 2, 6, tzinfo=UTC)
    return [
        Done(at=start + timedelta(seconds=n), key=UUID(int=n), event=event)
        for n, event in enumerate(events)
    ]


def judged(events: list[LearnEvent]) -> list[LearnEvent]:
    """Return what is judged of it."""
    return [event for event in events if isinstance(event, Order | Review)]


ANSWERS = (
    "bucket",
    "bucket_welds",
    "cutting_edge",
    "/hint",
    "bucket_pins",
    DONE,
    "joint_left",
    "centre_pins",
    "steering_cylinder_left",
    DONE,
)


def said(session: Recorded, values: tuple[str, ...]) -> list[LearnEvent]:
    """Say values; return all events."""
    events: list[LearnEvent] = []
    for value in values:
        feedback = session.hint() if value == "/hint" else session.answer(value)
        events += feedback.events
    return events


@settings(deadline=None, max_examples=30)
@given(st.integers(0, len(ANSWERS)))
def test_breaking_off_anywhere_changes_nothing(at: int) -> None:
    """In two sittings the same is judged as in one."""
    whole = Recorded(fresh(), sitting=UUID(int=1), scope=SCOPE)
    expected = said(whole, ANSWERS)
    expected += whole.ending().events

    first = said(Recorded(fresh(), sitting=UUID(int=1), scope=SCOPE), ANSWERS[:at])
    again = fresh()
    taken = take_up(again, left_open(kept(first), Mode.NEXT, SCOPE))
    second = Recorded(again, sitting=UUID(int=1), scope=SCOPE)
    rest = said(second, ANSWERS[at:])
    rest += second.ending().events

    assert taken == at
    assert judged([*first, *rest]) == judged(expected)
    assert [*first, *rest] == expected


def test_a_sitting_that_ended_is_not_taken_up() -> None:
    """Nor one of another scope or mode."""
    session = Recorded(fresh(), sitting=UUID(int=1), scope=SCOPE)
    events = said(session, ANSWERS[:3])
    open_ = kept(list(events))
    ended = kept([*events, *session.ending().events])

    assert len(left_open(open_, Mode.NEXT, SCOPE)) == 3
    assert left_open(ended, Mode.NEXT, SCOPE) == ()
    assert left_open(open_, Mode.NEXT, "another") == ()
    assert left_open(open_, Mode.SPOT, SCOPE) == ()


def test_an_answer_that_fits_no_more_ends_it_there() -> None:
    """The checklist has lost a point since: the rest is said again."""
    old = [
        Said(mode=Mode.NEXT, sitting=UUID(int=1), scope=SCOPE, value=value)
        for value in ("bucket", "gone_point", "bucket_welds")
    ]

    assert take_up(fresh(), old) == 1
