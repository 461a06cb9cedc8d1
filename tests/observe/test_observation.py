"""Marks and other events make the same observation in whatever order they come."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from voicecheck.clock import utc_text
from voicecheck.observe.events import Begun, Ended, ObserveEvent
from voicecheck.observe.marks import Mark, MarkKind, Retraction
from voicecheck.observe.observation import Doubt, DoubtKind, fold

OBSERVATION = UUID(int=1)
START = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)


def at(seconds: float) -> str:
    """Return a time so long after the start."""
    return utc_text(START + timedelta(seconds=seconds))


def mark(number: int, kind: MarkKind, seconds: float, point: str = "horn") -> Mark:
    """Return a mark."""
    return Mark(
        key=UUID(int=number),
        observation=OBSERVATION,
        kind=kind,
        at_utc=at(seconds),
        by="C.Poe",
        checkpoint=point,
    )


def undo(number: int, of: int, seconds: float) -> Retraction:
    """Return the retraction of a mark."""
    return Retraction(
        key=UUID(int=number),
        observation=OBSERVATION,
        mark=UUID(int=of),
        at_utc=at(seconds),
        by="C.Poe",
    )


BEGUN = Begun(
    key=UUID(int=900),
    observation=OBSERVATION,
    at_utc=at(0),
    by="C.Poe",
    trainee="J.Doe",
    unit="L-12",
    checklist="small",
    checklist_version="1",
    checklist_sha256="0" * 64,
    commitment="1" * 64,
)
ENDED = Ended(key=UUID(int=901), observation=OBSERVATION, at_utc=at(600), by="C.Poe")


@st.composite
def stories(draw: st.DrawFn) -> list[ObserveEvent]:
    """A few marks, some of them taken back, with a beginning and an end."""
    kinds, seconds = st.sampled_from(MarkKind), st.integers(1, 20)
    points = st.sampled_from(["horn", "belts", "camera"])
    marks = [
        mark(number, draw(kinds), draw(seconds), draw(points))
        for number in range(1, 1 + draw(st.integers(0, 8)))
    ]
    gone = draw(st.lists(st.integers(1, 10), max_size=4))
    undone = [undo(100 + n, of, draw(seconds)) for n, of in enumerate(gone)]
    return [BEGUN, ENDED, *marks, *undone]


@given(story=stories(), data=st.data())
def test_order_and_repetition_make_no_difference(
    story: list[ObserveEvent], data: st.DataObject
) -> None:
    """Any order, and any of them again, gives the same observation."""
    again = data.draw(st.lists(st.sampled_from(story), max_size=6))
    shuffled = data.draw(st.permutations([*story, *again]))

    assert fold(OBSERVATION, shuffled) == fold(OBSERVATION, story)


@given(story=stories())
def test_no_mark_is_lost(story: list[ObserveEvent]) -> None:
    """Each mark stands, or is kept as taken back, exactly once."""
    made = sorted(event.key for event in story if isinstance(event, Mark))

    seen = fold(OBSERVATION, story)

    assert sorted(m.key for m in (*seen.marks, *seen.retracted)) == made
    gone = {event.mark for event in story if isinstance(event, Retraction)}
    assert gone.isdisjoint(m.key for m in seen.marks)


def test_a_retraction_may_come_before_its_mark() -> None:
    """The page sends what it has; the mark never stands."""
    seen = fold(OBSERVATION, [undo(2, 1, 5), mark(1, MarkKind.MISSED, 4)])

    assert seen.marks == ()
    assert [m.key for m in seen.retracted] == [UUID(int=1)]


def test_the_newest_look_counts_and_the_worse_one_in_a_tie() -> None:
    """A trainee who comes back and looks has looked."""
    back = [mark(1, MarkKind.MISSED, 4), mark(2, MarkKind.LOOKED, 9)]
    tie = [mark(1, MarkKind.MISSED, 4), mark(2, MarkKind.LOOKED, 4)]

    assert fold(OBSERVATION, back).look("horn") is MarkKind.LOOKED
    assert fold(OBSERVATION, tie).look("horn") is MarkKind.MISSED
    assert fold(OBSERVATION, tie).look("belts") is None


def test_a_clock_that_is_ahead_is_put_right() -> None:
    """A tablet ten seconds ahead says 6:00:30 when it is 6:00:20."""
    ahead = Mark(
        key=UUID(int=1),
        observation=OBSERVATION,
        kind=MarkKind.LOOKED,
        at_utc=at(30),
        by="C.Poe",
        checkpoint="horn",
        skew_s=10.0,
    )

    assert ahead.when_utc == at(20)


def test_another_mark_under_the_same_key_is_a_doubt() -> None:
    """Both are kept and the doubt is said."""
    seen = fold(OBSERVATION, [mark(1, MarkKind.LOOKED, 4), mark(1, MarkKind.MISSED, 4)])

    assert len(seen.marks) == 2
    assert seen.doubts == (Doubt(kind=DoubtKind.KEYS, detail=str(UUID(int=1))),)


def test_only_the_assessor_marks_and_ends() -> None:
    """A trainee who writes marks into their own results changes nothing."""
    own = replace(mark(1, MarkKind.LOOKED, 4), by="J.Doe")

    seen = fold(OBSERVATION, [own, BEGUN, replace(ENDED, by="J.Doe")])

    assert (seen.marks, seen.ended) == ((), None)
    assert seen.doubts == (Doubt(kind=DoubtKind.WRITERS, detail="2"),)
