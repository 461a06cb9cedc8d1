"""A plan takes what is due, then what is new, and no more than the minutes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.checklists import load
from voicecheck.learn.cards import CardSort
from voicecheck.learn.deck import deck
from voicecheck.learn.events import Grade, Mode, Review
from voicecheck.learn.history import Done
from voicecheck.learn.plan import GUESSED_S, Cause, calls_now, plan, seconds_a_card
from voicecheck.learn.scheduling import replay

NOW = datetime(2026, 11, 2, 6, tzinfo=UTC)
CARDS = deck(load("wheel-loader"))
CALLS = [card for card in CARDS.cards if card.sort is CardSort.CALL]


def reviewed(
    card: str, grade: int, days_ago: float, number: int, mode: Mode = Mode.SPOT
) -> Done:
    """Return a review of a card."""
    event = Review(card=card, grade=Grade(grade), mode=mode)
    return Done(at=NOW - timedelta(days=days_ago), key=UUID(int=number), event=event)


def test_a_beginner_begins_at_the_first_zone() -> None:
    """Nothing is due; everything is new, in walking order."""
    today = plan(CARDS, {}, NOW)

    assert {item.cause for item in today.items} == {Cause.NEW}
    assert [item.card for item in today.items] == list(CARDS.cards[: len(today.items)])
    assert (today.due, today.new) == (0, len(CARDS.cards))
    assert today.items[0].card.subject == "approach"


def test_due_comes_first_the_least_likely_in_front() -> None:
    """A card forgotten for a month stands before one that has just fallen due."""
    done = [
        reviewed(CARDS.cards[0].id, 4, 9, 1),
        reviewed(CARDS.cards[5].id, 4, 40, 2),
        reviewed(CARDS.cards[7].id, 4, 1, 3),
    ]

    today = plan(CARDS, replay(done), NOW)

    due = [item.card for item in today.items if item.cause is Cause.DUE]
    assert due == [CARDS.cards[5], CARDS.cards[0]]
    assert today.items[2].cause is Cause.NEW
    assert CARDS.cards[7] not in [item.card for item in today.items], "not due yet"


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, len(CARDS.cards) - 1), st.integers(1, 4))),
    st.floats(1, 60),
)
def test_no_plan_takes_longer_than_it_may(
    done: list[tuple[int, int]], minutes: float
) -> None:
    """Whatever was reviewed: no card twice, and the minutes hold."""
    states = replay(
        reviewed(CARDS.cards[at].id, grade, 3 + number, number)
        for number, (at, grade) in enumerate(done)
    )

    today = plan(CARDS, states, NOW, minutes=minutes)

    ids = [item.card.id for item in today.items]
    assert len(set(ids)) == len(ids)
    assert today.items
    assert today.seconds <= minutes * 60


def test_seconds_are_measured_where_they_can_be() -> None:
    """The median of eight gaps; a break of an hour does not count."""
    done = [reviewed(CALLS[n].id, 3, 1 - n * 20 / 86_400, n) for n in range(9)]
    done.append(reviewed(CALLS[9].id, 3, 0.9, 99))

    seconds = seconds_a_card(done)

    assert seconds[CardSort.CALL] == pytest.approx(20.0, abs=1e-3)
    assert seconds[CardSort.ZONE] == GUESSED_S[CardSort.ZONE]
    assert seconds_a_card(done[:5]) == dict(GUESSED_S)


def test_as_many_calls_as_asked_for_in_a_zone() -> None:
    """Count and zone are kept to; no situation comes twice."""
    found = calls_now(CARDS, {}, NOW, count=12, zones=["bucket"])

    assert len({one.id for one in found}) == 12
    for one in found:
        assert CARDS.checklist.checkpoint(one.checkpoint_id).zone_id == "bucket"


def test_practice_is_never_refused() -> None:
    """With nothing due and nothing new the least likely are called."""
    done = [reviewed(card.id, 4, 1 + n / 1000, n) for n, card in enumerate(CALLS)]

    found = calls_now(CARDS, replay(done), NOW)

    assert len(found) == 10


def test_a_card_that_was_called_shows_its_next_text() -> None:
    """After one review the next situation of the kind is shown."""
    card = next(c for c in CALLS if len(CARDS.situations[c.subject]) > 1)
    states = replay([reviewed(card.id, 1, 1, 1)])

    (first,) = [
        one for one in calls_now(CARDS, {}, NOW, count=500) if one.kind == card.subject
    ]
    (second,) = [
        one
        for one in calls_now(CARDS, states, NOW, count=500)
        if one.kind == card.subject
    ]

    assert first != second
