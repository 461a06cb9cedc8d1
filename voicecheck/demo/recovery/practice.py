"""A month of practice of a simulated trainee, in the sessions of a real one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from voicecheck.demo.recovery.trainee import Trainee
from voicecheck.learn.cards import CardSort
from voicecheck.learn.deck import Deck
from voicecheck.learn.events import LearnEvent
from voicecheck.learn.history import Done
from voicecheck.learn.plan import Cause, plan
from voicecheck.learn.scheduling import CardState, replay
from voicecheck.learn.sessions.next_point import DONE, NextPoint
from voicecheck.learn.sessions.ports import Listening, Question
from voicecheck.learn.sessions.spot import Spot
from voicecheck.learn.situations import Situation
from voicecheck.round.answers import LeakClass, Severity
from voicecheck.statistics.forgetting import recall_curve

START = datetime(2026, 1, 5, 6, tzinfo=UTC)
DAYS = 30
CALLS_A_DAY = 5
CALL_DAYS = 20
"""With five a day: the hundred calls that progress looks back on."""
GRADED = 0.8
"""Share of the wrong situations that have a severity to be called."""
ORDER_DAYS = 20
ZONES = 10
"""Zones whose points are learned by heart, one more each day."""
FIRST_CHANCE = 0.5
"""Of knowing a point when it is asked for the first time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sat:
    """What one sitting left behind."""

    at: datetime
    events: tuple[LearnEvent, ...]


def practise(cards: Deck, trainee: Trainee, days: int = DAYS) -> Iterator[Sat]:
    """Yield the sittings of some days: calls, the order of the zones, points.

    Half of the situations have something wrong. Which zones come up is decided by
    the schedule, from what was recalled so far.
    """
    called = _situations(cards, trainee)
    recalled: list[Done] = []
    for day in range(days):
        morning = START + timedelta(days=day)
        if day < ORDER_DAYS:
            yield Sat(at=morning, events=say_zones(cards, trainee))
        if day < CALL_DAYS:
            today = called[day * CALLS_A_DAY : (day + 1) * CALLS_A_DAY]
            at = morning + timedelta(hours=1)
            yield Sat(at=at, events=call(cards, today, trainee))
        for sat in _points(cards, trainee, recalled, day):
            recalled += as_done(sat, trainee)
            yield sat


def as_done(sat: Sat, trainee: Trainee) -> Iterator[Done]:
    """Yield a sitting as it is read back from the store."""
    for event in sat.events:
        yield Done(at=sat.at, key=trainee.key(), event=event)


def call(
    cards: Deck, situations: Sequence[Situation], trainee: Trainee
) -> tuple[LearnEvent, ...]:
    """Call situations, as the questions come."""
    session = Spot(cards.checklist, situations)
    events: list[LearnEvent] = []
    while not session.finished:
        one = session.situation
        wrong = trainee.calls_wrong(one.signal)
        value = _opening(session.ask(), one, wrong)
        while True:
            feedback = session.answer(value)
            if feedback.events:
                events += feedback.events
                break
            value = _detail(session.ask(), one, trainee)
    return tuple(events)


def say_zones(cards: Deck, trainee: Trainee) -> tuple[LearnEvent, ...]:
    """Say the zones in order from memory."""
    session = NextPoint(cards.checklist, points=False)
    for zone in trainee.order([zone.id for zone in cards.checklist.zones]):
        session.answer(zone)
    session.answer(DONE)
    return session.ending().events


def _points(
    cards: Deck, trainee: Trainee, recalled: Sequence[Done], day: int
) -> Iterator[Sat]:
    """Say the points of zones in which one is due, and of one new zone."""
    learned = [zone.id for zone in cards.checklist.zones[:ZONES]]
    states = replay(recalled)
    noon = START + timedelta(days=day, hours=6)
    today = plan(cards, states, noon, minutes=60, sorts=(CardSort.POINT,))
    due = {item.zone_id for item in today.items if item.cause is Cause.DUE}
    for place, zone in enumerate(learned):
        # at the same time every day, so that whole days lie between
        at = noon + timedelta(minutes=place)
        if zone in due or place == day:
            yield Sat(at=at, events=_say_points(cards, zone, states, at, trainee))


def _say_points(
    cards: Deck,
    zone: str,
    states: Mapping[str, CardState],
    at: datetime,
    trainee: Trainee,
) -> tuple[LearnEvent, ...]:
    session = NextPoint(cards.checklist, zones=[zone])
    for point in cards.checklist.zone(zone).checkpoints:
        state = states.get(f"{cards.checklist.name}/{CardSort.POINT}/{point.id}")
        if trainee.recalls(true_chance(state, at, trainee.weaknesses.memory)):
            session.answer(point.id)
    session.answer(DONE)
    return session.ending().events


def true_chance(state: CardState | None, at: datetime, memory: float) -> float:
    """Return the trainee's real chance of recall, which the schedule only guesses."""
    if state is None:
        return FIRST_CHANCE
    days = (at - state.last).days
    return float(recall_curve(days, state.stability_d * memory))


def _situations(cards: Deck, trainee: Trainee) -> list[Situation]:
    """Pick half with something wrong, most of that with a severity."""
    made = [one for ones in cards.situations.values() for one in ones]
    half = CALLS_A_DAY * CALL_DAYS // 2
    graded = [one for one in made if one.expected.severity is not None]
    others = [one for one in made if one.signal and one.expected.severity is None]
    picked = trainee.sample(graded, round(half * GRADED))
    picked += trainee.sample(others, half - len(picked))
    picked += trainee.sample([one for one in made if not one.signal], half)
    return trainee.sample(picked, len(picked))


def _opening(question: Question, one: Situation, wrong: bool) -> str:
    """Return the first answer: right as it is, or the usual one of the other side."""
    values = [choice.value for choice in question.choices]
    right = one.expected.opened.value
    if one.signal == wrong and right in values:
        return right
    match question.listening:
        case Listening.YES_NO:  # a start check, or a reading within its limits
            return "no" if wrong else "yes"
        case Listening.LEVEL:
            return "low" if wrong else "full"
    return "defect" if wrong else "good"


def _detail(question: Question, one: Situation, trainee: Trainee) -> str:
    expected = one.expected
    match question.listening:
        case Listening.SEVERITY:
            true = expected.severity
            return (trainee.severity(true) if true else Severity.MINOR).value
        case Listening.LEAK_CLASS:
            return (expected.leak_class or LeakClass.ONE).value
    return "yes" if expected.may_work else "no"
