"""Practice is kept at once, with the person, and read back as it was."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID

import pytest

from voicecheck.clock import ManualClock
from voicecheck.errors import LearnError, NotAllowed, PeopleError
from voicecheck.learn.events import (
    Call,
    CallParts,
    Grade,
    LearnEvent,
    Look,
    Mode,
    Opened,
    Order,
    Review,
    Said,
    Sitting,
)
from voicecheck.learn.history import read
from voicecheck.learn.keeping import Practice
from voicecheck.people.events import PersonalEvent
from voicecheck.people.roles import Role
from voicecheck.people.store import PeopleStore
from voicecheck.round.answers import LeakClass
from voicecheck.round.checklist import Outcome

EVERY: tuple[LearnEvent, ...] = (
    Review(card="wheel-loader/zone/bucket", grade=Grade.HARD, mode=Mode.NEXT),
    Call(
        checklist="wheel-loader",
        checkpoint="boom",
        situation="leak/fuel/I/0@engine_lines",
        expected=CallParts(
            opened=Opened.LEAK, leak_class=LeakClass.ONE, may_work=False
        ),
        said=CallParts(opened=Opened.GOOD, may_work=True),
        outcome=Outcome.OUT_OF_SERVICE,
    ),
    Order(checklist="wheel-loader", expected=("a", "b"), said=("b", "a")),
    Look(checklist="wheel-loader", checkpoint="horn"),
    Said(mode=Mode.NEXT, sitting=UUID(int=1), scope="x", value="horn"),
    Sitting(mode=Mode.SPOT, state="begun"),
)


@pytest.fixture
def clock() -> ManualClock:
    """A clock that stands still."""
    return ManualClock(datetime(2026, 11, 2, 6, tzinfo=UTC))


@pytest.fixture
def people(tmp_path: Path, clock: ManualClock) -> Iterator[PeopleStore]:
    """An empty store of personal results."""
    with PeopleStore(tmp_path / "people.sqlite3", clock=clock) as store:
        yield store


def test_everything_comes_back_as_it_was(
    people: PeopleStore, clock: ManualClock
) -> None:
    """Every kind of event, in the order in which it happened, with its time."""
    practice = Practice(people, "J.Doe", clock=clock)
    assert practice.enrol()
    for event in EVERY:
        practice.keep([event])
        clock.advance(10)

    done = practice.done()

    assert tuple(one.event for one in done) == EVERY
    assert [one.at.second for one in done] == [0, 10, 20, 30, 40, 50]
    assert {type(event) for event in EVERY} == set(LearnEvent.__args__)


def test_enrolling_happens_once(people: PeopleStore) -> None:
    """A second sitting finds the learner there."""
    practice = Practice(people, "J.Doe")

    assert not practice.known
    assert practice.enrol()
    assert not practice.enrol()
    assert people.person("J.Doe").roles == {Role.LEARNER}


def test_nobody_else_sees_it_and_each_look_is_written_down(
    people: PeopleStore,
) -> None:
    """Another learner is refused; the refusal stands among the looks."""
    practice = Practice(people, "J.Doe")
    practice.enrol()
    practice.keep(EVERY)
    people.register("M.Roe", {Role.LEARNER}, "M.Roe")

    with pytest.raises(NotAllowed):
        practice.done("M.Roe")
    practice.done()

    looks = [(one.reader, one.allowed) for one in people.looks("J.Doe", "J.Doe")]
    assert ("M.Roe", False) in looks
    assert ("J.Doe", True) in looks


def test_of_a_batch_nothing_is_half_kept(people: PeopleStore) -> None:
    """Somebody who is not registered leaves nothing behind."""
    practice = Practice(people, "J.Doe")
    with pytest.raises(PeopleError):
        practice.keep(EVERY)
    practice.enrol()

    assert practice.done() == ()


def stored(kind: str, body: dict[str, object]) -> PersonalEvent:
    """Return an event as another version might have written it."""
    return PersonalEvent(
        key=UUID(int=7),
        subject="J.Doe",
        kind=kind,
        at_utc="2026-11-02T06:00:00.000Z",
        by="J.Doe",
        body=body,
    )


def test_events_of_other_rooms_are_passed_over() -> None:
    """An observation of the same person is no practice."""
    assert read([stored("observe/mark/1", {"anything": 1})]) == ()


@pytest.mark.parametrize(
    ("kind", "body", "says"),
    [
        ("learn/review/2", {}, "newer voicecheck"),
        ("learn/look/1", {"checklist": "x", "checkpoint": "y", "z": 1}, "damaged"),
    ],
    ids=["a newer kind", "an unknown key"],
)
def test_what_cannot_be_read_is_said(
    kind: str, body: dict[str, object], says: str
) -> None:
    """Passing over it would make a schedule that forgets."""
    with pytest.raises(LearnError, match=says):
        read([stored(kind, body)])
