"""What comes next? Said from memory, never judged before it is complete."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.errors import LearnError
from voicecheck.learn.events import Grade, LearnEvent, Order, Review
from voicecheck.learn.sessions.next_point import BACK, DONE, NextPoint
from voicecheck.learn.sessions.ports import Listening
from voicecheck.statistics.ordering import EditKind
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()
ZONES = [zone.id for zone in SMALL.zones]
POINTS = {zone.id: [p.id for p in zone.checkpoints] for zone in SMALL.zones}


def say(session: NextPoint, *values: str) -> list[LearnEvent]:
    """Answer one after the other; return every event."""
    events: list[LearnEvent] = []
    for value in values:
        events += session.answer(value).events
    return events


def whole(order: dict[str, list[str]] | None = None) -> list[str]:
    """Everything that there is to say, zone by zone."""
    listed = order or POINTS
    return [value for zone in listed for value in (zone, *listed[zone], DONE)]


def grades(events: list[LearnEvent]) -> dict[str, Grade]:
    """The grade of each card."""
    return {e.card: e.grade for e in events if isinstance(e, Review)}


def orders(events: list[LearnEvent]) -> dict[str | None, Order]:
    """The orders, by zone."""
    return {e.zone: e for e in events if isinstance(e, Order)}


def test_the_whole_walk_in_order_is_good_everywhere() -> None:
    """Every zone and point has one good review, and every order is as expected."""
    session = NextPoint(SMALL)

    events = say(session, *whole())
    ending = session.ending()
    events += ending.events

    assert session.finished
    assert ending.right is True
    found = grades(events)
    assert len(found) == len(ZONES) + len(SMALL.checkpoints)
    assert set(found.values()) == {Grade.GOOD}
    assert {zone: order.said for zone, order in orders(events).items()} == {
        None: tuple(ZONES),
        **{zone: tuple(points) for zone, points in POINTS.items()},
    }
    assert all(found.tau == 1 for found in session.compared)


def test_nothing_is_judged_while_it_is_said() -> None:
    """Each answer is said back only: a mishearing can still be taken back."""
    session = NextPoint(SMALL)

    feedbacks = [session.answer(value) for value in whole()]

    assert all(feedback.right is None for feedback in feedbacks)
    assert feedbacks[1].text == "Hour meter."


def test_what_was_left_out_moved_and_added_is_named() -> None:
    """Missing is again, moved is hard, and a point of the next zone is extra."""
    session = NextPoint(SMALL, zones=["left_side"])

    say(session, "left_wheel", "left_tyre", "engine_oil", DONE)
    ending = session.ending()
    [found] = session.compared

    assert session.finished
    kinds = {step.item: step.kind for step in found.steps}
    assert kinds["leaks_below"] is EditKind.MISSING
    assert kinds["engine_oil"] is EditKind.EXTRA
    assert EditKind.MOVED in {kinds.get("left_tyre"), kinds.get("left_wheel")}
    assert "leaks below" in ending.text
    assert ending.right is False
    graded = grades(list(ending.events))
    assert graded["small/point/leaks_below"] is Grade.AGAIN
    assert sorted(g for c, g in graded.items() if "leaks" not in c) == [
        Grade.HARD,
        Grade.GOOD,
    ]
    assert "small/point/engine_oil" not in graded


def test_a_misheard_answer_taken_back_leaves_no_trace() -> None:
    """Back, then the right one: as if the wrong one had never been heard."""
    straight, corrected = NextPoint(SMALL), NextPoint(SMALL)

    events = say(straight, *whole())
    say(corrected, "cab", BACK)
    redone = say(corrected, *whole()[:2], "parked", "nobody_near", BACK, BACK)
    redone += say(corrected, *whole()[2:])

    assert redone == events
    assert corrected.ending() == straight.ending()


def test_even_the_end_of_a_zone_can_be_taken_back() -> None:
    """Until the next zone is named, more can be said in this one."""
    session = NextPoint(SMALL)

    say(session, "approach", "hour_meter", DONE, BACK, "parked", "nobody_near", DONE)
    events = say(session, "left_side")

    assert orders(events)["approach"].said == ("hour_meter", "parked", "nobody_near")
    session.answer(BACK)
    again = say(session, "engine")
    assert again == []  # the zone before is kept, once
    assert BACK in {choice.value for choice in session.ask().choices}


def test_hints_go_from_side_to_answer_and_are_counted() -> None:
    """Side or kind, first word, answer; a given answer is again, a hint is hard."""
    session = NextPoint(SMALL)

    side = session.hint().text
    session.answer("approach")
    kind = session.hint().text
    word = session.hint().text
    answer = session.hint().text
    say(session, "hour_meter")
    session.hint()
    events = say(session, "parked", "nobody_near", DONE, "left_side")

    assert side == "It is at the front."
    assert kind == "It is a number to read."
    assert word == "It begins with: hour."
    assert answer == "It is: hour meter."
    graded = grades(events)
    assert graded["small/point/hour_meter"] is Grade.AGAIN
    assert graded["small/point/parked"] is Grade.HARD
    assert graded["small/point/nobody_near"] is Grade.GOOD
    assert orders(events)["approach"].hinted == ("hour_meter",)
    assert grades(list(session.ending().events))["small/zone/approach"] is Grade.HARD
    assert "Hints: 5." in session.ending().text


def test_a_hint_where_nothing_is_left_gives_nothing_away() -> None:
    """It says to say that it is all."""
    session = NextPoint(SMALL, zones=["cab"])
    say(session, "horn", "camera")

    assert "that is all" in session.hint().text
    assert "Hints" not in session.ending().text


def test_broken_off_only_what_was_reached_is_compared() -> None:
    """What nobody had the time to say was not forgotten."""
    session = NextPoint(SMALL)

    events = say(session, *whole()[:4], DONE, "left_side", "left_tyre")
    events += session.ending().events

    assert orders(events)["left_side"].expected == ("left_tyre",)
    assert orders(events)[None].expected == ("approach", "left_side")
    assert Grade.AGAIN not in grades(events).values()


def test_all_said_means_all_is_compared() -> None:
    """Whoever says that this is all has forgotten the rest."""
    session = NextPoint(SMALL, points=False)

    say(session, "approach", "engine", DONE)
    graded = grades(list(session.ending().events))

    assert graded["small/zone/left_side"] is Grade.AGAIN
    assert graded["small/zone/cab"] is Grade.AGAIN


def test_an_ending_brings_its_events_once() -> None:
    """A second call says the same and keeps nothing twice."""
    session = NextPoint(SMALL, zones=["cab"])
    say(session, "horn", DONE)

    first, second = session.ending(), session.ending()

    assert first.events and not second.events
    assert first.text == second.text


def test_nothing_said_is_nothing_known() -> None:
    """Silence brings no review at all."""
    ending = NextPoint(SMALL).ending()

    assert ending.events == ()
    assert ending.right is None


@given(st.data())
def test_any_run_of_answers_ends_consistently(data: st.DataObject) -> None:
    """Each expected place is reviewed at most once, and only known places are."""
    session = NextPoint(
        SMALL,
        zones=data.draw(st.sampled_from([None, ["cab"], ["left_side", "engine"]])),
    )
    events: list[LearnEvent] = []
    for _ in range(data.draw(st.integers(0, 40))):
        if session.finished:
            break
        question = session.ask()
        assert question.listening is Listening.PLACE
        values = [choice.value for choice in question.choices]
        assert len(values) == len(set(values))
        value = data.draw(st.sampled_from([*values, "?"]))
        feedback = session.hint() if value == "?" else session.answer(value)
        assert feedback.right is None
        events += feedback.events
    events += session.ending().events

    cards = [event.card for event in events if isinstance(event, Review)]
    assert len(cards) == len(set(cards))
    for order in orders(events).values():
        known = POINTS[order.zone] if order.zone else ZONES
        assert [p for p in known if p in order.expected] == list(order.expected)
        assert len(set(order.said)) == len(order.said)


def test_what_cannot_be_said_is_refused() -> None:
    """Unknown places, a single zone without points, and more after the end."""
    session = NextPoint(SMALL, zones=["cab"])

    with pytest.raises(LearnError, match="horn"):
        session.answer("left_tyre_of_nothing")
    with pytest.raises(LearnError, match="points"):
        NextPoint(SMALL, zones=["cab"], points=False)
    with pytest.raises(LearnError, match="approach"):
        NextPoint(SMALL, zones=["roof"])
    session.answer(DONE)
    with pytest.raises(LearnError, match="another"):
        session.ask()
