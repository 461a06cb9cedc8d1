"""Progress counts what was practised on this machine, and how it went by week."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.checklists import load
from voicecheck.learn.advice import Why, advise
from voicecheck.learn.cards import point_card, zone_card
from voicecheck.learn.deck import deck
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
)
from voicecheck.learn.history import Done
from voicecheck.learn.progress import Progress, progress
from voicecheck.round.answers import Severity
from voicecheck.round.checklist import Outcome

MONDAY = datetime(2026, 11, 2, 6, tzinfo=UTC)
CARDS = deck(load("wheel-loader"))
NAME = "wheel-loader"
GOOD = CallParts(opened=Opened.GOOD, may_work=True)
MAJOR = CallParts(opened=Opened.DEFECT, severity=Severity.MAJOR, may_work=False)


def done(*events: LearnEvent, start: datetime = MONDAY, gap_s: int = 20) -> list[Done]:
    """Return events one after the other."""
    return [
        Done(
            at=start + timedelta(seconds=gap_s * n),
            key=UUID(int=round(start.timestamp()) * 1000 + n),
            event=event,
        )
        for n, event in enumerate(events)
    ]


def call(expected: CallParts, said: CallParts, checklist: str = NAME) -> Call:
    """Return a call at the boom."""
    return Call(
        checklist=checklist,
        checkpoint="boom",
        situation="structure/crack/0@boom",
        expected=expected,
        said=said,
        outcome=Outcome.MAY_WORK if expected.may_work else Outcome.OUT_OF_SERVICE,
    )


def order(*said: str, zone: str | None = None) -> Order:
    """Return an order of six, as said."""
    expected = ("1", "2", "3", "4", "5", "6")
    return Order(checklist=NAME, zone=zone, expected=expected, said=said)


def shown(events: list[Done], *, days: int = 0) -> Progress:
    """Return the progress some days after the Monday."""
    return progress(CARDS, events, MONDAY + timedelta(days=days, hours=1))


def test_a_point_is_practised_by_look_recall_or_call() -> None:
    """Each way counts, and each point once."""
    events = done(
        Look(checklist=NAME, checkpoint="horn"),
        Review(card=point_card(NAME, "gauges").id, grade=Grade.GOOD, mode=Mode.NEXT),
        call(GOOD, GOOD),
        Look(checklist=NAME, checkpoint="horn"),
        Look(checklist=NAME, checkpoint="not_there_any_more"),
    )

    now = shown(events)

    assert (now.points.count, now.points.of) == (3, 99)
    zones = {zone.zone_id: zone.points.count for zone in now.zones}
    assert zones["function_checks"] == 2
    assert zones["loader_arms"] == 1
    assert sum(zones.values()) == 3


def test_another_machine_does_not_count() -> None:
    """What was practised on the dozer says nothing of the loader."""
    events = done(
        Look(checklist="track-dozer", checkpoint="horn"),
        Review(
            card=zone_card("track-dozer", "rear").id, grade=Grade.GOOD, mode=Mode.NEXT
        ),
        call(MAJOR, GOOD, "track-dozer"),
    )

    now = shown(events)

    assert (now.points.count, now.cards.count, now.overall.right.of) == (0, 0, 0)
    assert now.remembered is None


def test_order_is_the_example() -> None:
    """1 3 2 4 6 5: tau .7333, and two items out of place. Source: facts, 8.4."""
    now = shown(done(order("1", "3", "2", "4", "6", "5")))

    (said,) = now.order
    assert said.tau == pytest.approx(0.7333, abs=5e-5)
    assert said.distance == 4, "two are taken out and put in again"


def test_the_last_order_of_a_zone_counts() -> None:
    """Reversed first, right later; one item alone has no order."""
    now = shown(
        done(
            order("6", "5", "4", "3", "2", "1", zone="bucket"),
            order("1", "2", "3", "4", "5", "6", zone="bucket"),
            order("4", zone="cab"),
        )
    )

    zones = {zone.zone_id: zone.order for zone in now.zones}
    bucket, cab = zones["bucket"], zones["cab"]
    assert bucket is not None
    assert (bucket.tau, bucket.distance) == (pytest.approx(1.0), 0)
    assert cab is not None
    assert (cab.tau, cab.distance) == (None, 5)
    assert zones["rear"] is None


def test_weeks_run_from_monday_and_breaks_are_left_out() -> None:
    """Three calls twenty seconds apart, and two more a week later."""
    events = [
        *done(*[call(MAJOR, MAJOR)] * 3),
        *done(call(MAJOR, GOOD), call(GOOD, GOOD), start=MONDAY + timedelta(days=8)),
    ]

    now = shown(events, days=9)

    assert [week.monday for week in now.weeks] == [date(2026, 11, 2), date(2026, 11, 9)]
    assert [week.calls.right.of for week in now.weeks] == [3, 2]
    assert [week.minutes for week in now.weeks] == pytest.approx([40 / 60, 20 / 60])
    assert now.minutes == pytest.approx(1.0)
    assert now.weeks[0].calls.detection is None, "nothing good was called"


def test_recent_is_the_last_hundred_calls() -> None:
    """Old mistakes stand in all, not in recent."""
    events = done(*[call(MAJOR, GOOD)] * 30, *[call(MAJOR, MAJOR)] * 100)

    now = shown(events)

    assert (now.recent.right.count, now.recent.right.of) == (100, 100)
    assert (now.overall.right.count, now.overall.right.of) == (100, 130)


events_strategy = st.lists(
    st.sampled_from(
        [
            call(MAJOR, GOOD),
            call(GOOD, MAJOR),
            call(GOOD, GOOD),
            call(MAJOR, MAJOR),
            order("1", "2"),
            order("2", "1", zone="bucket"),
            Look(checklist=NAME, checkpoint="horn"),
            Review(card=zone_card(NAME, "cab").id, grade=Grade.AGAIN, mode=Mode.NEXT),
        ]
    ),
    max_size=40,
)


@settings(deadline=None, max_examples=40)
@given(events_strategy)
def test_shares_stay_shares(events: list[LearnEvent]) -> None:
    """Whatever was practised, counts add up and chances lie in 0 … 1."""
    now = shown(done(*events), days=3)

    assert now.points.count == sum(zone.points.count for zone in now.zones)
    assert now.remembered is None or 0 <= now.remembered <= 1
    assert now.overall.right.of == sum(week.calls.right.of for week in now.weeks)
    assert now.overall.signals + now.overall.noises == now.overall.right.of
    assert advise(now), "there is always something to practise next"


def test_advice_puts_the_dangerous_first() -> None:
    """A wrong release, a missed defect, then leaning, then what is due."""
    events = [
        *done(*[call(MAJOR, GOOD)] * 25, *[call(GOOD, GOOD)] * 25),
        *done(
            Review(card=zone_card(NAME, "cab").id, grade=Grade.AGAIN, mode=Mode.NEXT),
            order("1", "3", "2"),
            start=MONDAY + timedelta(minutes=20),
        ),
    ]

    told = advise(shown(events, days=1))

    assert [one.why for one in told] == [
        Why.RELEASED,
        Why.MISSED,
        Why.LEANS_GOOD,
        Why.DUE,
        Why.ORDER,
        Why.UNSEEN,
    ]
    assert (told[0].count, told[0].of) == (25, 25)
    assert told[-1].zone_id == "approach"


def test_too_few_calls_are_said_to_be_too_few() -> None:
    """Two of each: nothing can be told of d' yet, and how many more would do."""
    events = done(*[call(MAJOR, MAJOR)] * 2, *[call(GOOD, GOOD)] * 2)

    few = [one for one in advise(shown(events)) if one.why is Why.TOO_FEW]

    assert [one.count for one in few] == [36]
