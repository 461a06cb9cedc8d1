"""A learner's memory beside the schedule: which reviews tell, and what."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from voicecheck.learn.cards import call_card, point_card, zone_card
from voicecheck.learn.events import Grade, Mode, Review
from voicecheck.learn.history import Done
from voicecheck.learn.memory import memory
from voicecheck.learn.scheduling import replay
from voicecheck.statistics.forgetting import forgetting

MONDAY = datetime(2026, 1, 5, 6, tzinfo=UTC)
CARDS = {
    "zone": zone_card("small", "front").id,
    "point": point_card("small", "horn").id,
    "call": call_card("small", "horn/silent").id,
}


def reviews(sort: str, *grades: Grade, hours: float = 24.0) -> list[Done]:
    """Return reviews of one card, so many hours apart."""
    return [
        Done(
            at=MONDAY + timedelta(hours=hours * at),
            key=UUID(int=at + 1000 * sorted(CARDS).index(sort)),
            event=Review(card=CARDS[sort], grade=grade, mode=Mode.NEXT),
        )
        for at, grade in enumerate(grades)
    ]


MIXED = (Grade.AGAIN, *([Grade.GOOD, Grade.HARD, Grade.AGAIN] * 24))


def test_it_is_the_fit_over_the_schedule_s_stabilities() -> None:
    """Each review after the first, with the stability that was supposed before it;
    hard is recalled."""
    done = reviews("point", *MIXED)
    supposed = [
        replay(done[:count])[CARDS["point"]].stability_d
        for count in range(1, len(done))
    ]
    known = [grade is not Grade.AGAIN for grade in MIXED[1:]]

    expected = forgetting([1.0] * 72, supposed, known)
    assert expected is not None
    assert memory(done) == expected


@pytest.mark.parametrize("sort", ["zone", "point"])
def test_zones_and_points_ask_for_memory(sort: str) -> None:
    """Either alone tells."""
    assert memory(reviews(sort, *MIXED)) is not None


def test_calls_ask_for_judgement() -> None:
    """And change nothing, however badly they go."""
    calls = reviews("call", *[Grade.AGAIN] * 80)

    assert memory(calls) is None
    points = reviews("point", *MIXED)
    assert memory([*calls, *points]) == memory(points)


def test_the_same_day_tells_nothing() -> None:
    """Nobody forgets in an hour what the schedule measures in days."""
    assert memory(reviews("point", *MIXED, hours=0.5)) is None


def test_the_order_of_events_makes_no_difference() -> None:
    """They may come from several devices."""
    done = reviews("point", *MIXED)

    assert memory(done[::-1]) == memory(done)
