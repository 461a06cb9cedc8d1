"""Where a learner stands with one machine, and how it went over time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

from voicecheck.learn.calling import CallFigures, call_figures
from voicecheck.learn.cards import CardSort, parse
from voicecheck.learn.deck import Deck
from voicecheck.learn.events import (
    Call,
    LearnEvent,
    Look,
    Order,
    Review,
    Said,
    Sitting,
)
from voicecheck.learn.history import Done
from voicecheck.learn.memory import memory
from voicecheck.learn.scheduling import CardState, recall_chance, replay
from voicecheck.statistics.forgetting import Forgetting
from voicecheck.statistics.ordering import edit_steps, kendall
from voicecheck.statistics.proportions import Share, share_of

__all__ = ["OrderSaid", "Progress", "Week", "ZoneProgress", "progress"]

RECENT = 100
"""Calls that tell how somebody calls now; older ones tell how they called then."""
_BREAK = timedelta(minutes=3)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSaid:
    """One order that was said from memory."""

    at: datetime
    tau: float | None
    """Kendall's tau, -1 … 1; None with fewer than two in common."""
    distance: int
    """Removals and insertions that would make it right."""
    said: int
    expected: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneProgress:
    """One zone: how much of it was practised, and its order when last said."""

    zone_id: str
    points: Share
    order: OrderSaid | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """Seven days from a Monday, in UTC."""

    monday: date
    calls: CallFigures
    tau: float | None
    """Mean of the orders that were said."""
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """All figures of one learner and one checklist."""

    checklist: str
    until: datetime
    points: Share
    """Checkpoints that were practised in any way."""
    cards: Share
    """Cards that were practised."""
    remembered: float | None
    """Mean chance that a practised card is recalled now; None without any."""
    memory: Forgetting | None
    """How long zones and points are kept in mind beside what the schedule supposes;
    None: too few reviews tell."""
    due: int
    zones: tuple[ZoneProgress, ...]
    order: tuple[OrderSaid, ...]
    """The zones in order, each time they were said."""
    recent: CallFigures
    """Of the last hundred calls."""
    overall: CallFigures
    weeks: tuple[Week, ...]
    minutes: float
    """Practised, breaks left out."""


def progress(cards: Deck, done: Sequence[Done], now: datetime) -> Progress:
    """Return where a learner stands.

    Args:
        cards: of which machine; what was practised on others is left out.
        done: everything that was practised, from `history.read`.
        now: the time; aware.
    """
    name = cards.checklist.name
    here = [one for one in done if _checklist_of(one.event) in (name, None)]
    states = {key: one for key, one in replay(here).items() if key in cards.zone_of}
    practised = _practised(cards, here, states)
    calls = [one.event for one in here if isinstance(one.event, Call)]
    chances = [recall_chance(state, now) for state in states.values()]
    return Progress(
        checklist=name,
        until=now,
        points=share_of(len(practised), len(cards.checklist.checkpoints)),
        cards=share_of(len(states), len(cards.cards)),
        remembered=sum(chances) / len(chances) if chances else None,
        memory=memory(here),
        due=sum(state.is_due(now) for state in states.values()),
        zones=tuple(_zones(cards, here, practised)),
        order=tuple(_orders(here, None)),
        recent=call_figures(calls[-RECENT:]),
        overall=call_figures(calls),
        weeks=tuple(_weeks(here)),
        minutes=_minutes(here),
    )


def _checklist_of(event: LearnEvent) -> str | None:
    match event:
        case Review():
            return parse(event.card).checklist
        case Sitting() | Said():
            return None
        case _:
            return event.checklist


def _practised(
    cards: Deck, done: Iterable[Done], states: Mapping[str, CardState]
) -> set[str]:
    """Return ids of checkpoints that were looked at, recalled or called."""
    seen = {one.event.checkpoint for one in done if isinstance(one.event, Look | Call)}
    for key in states:
        card = parse(key)
        if card.sort is CardSort.POINT:
            seen.add(card.subject)
    return seen & {point.id for point in cards.checklist.checkpoints}


def _orders(done: Iterable[Done], zone_id: str | None) -> Iterable[OrderSaid]:
    for one in done:
        event = one.event
        if isinstance(event, Order) and event.zone == zone_id:
            yield OrderSaid(
                at=one.at,
                tau=kendall(event.expected, event.said),
                distance=edit_steps(event.expected, event.said).distance,
                said=len(event.said),
                expected=len(event.expected),
            )


def _zones(
    cards: Deck, done: Sequence[Done], practised: set[str]
) -> Iterable[ZoneProgress]:
    for zone in cards.checklist.zones:
        points = {point.id for point in zone.checkpoints}
        said = list(_orders(done, zone.id))
        yield ZoneProgress(
            zone_id=zone.id,
            points=share_of(len(points & practised), len(points)),
            order=said[-1] if said else None,
        )


def _weeks(done: Sequence[Done]) -> Iterable[Week]:
    by_week: dict[date, list[Done]] = {}
    for one in done:
        day = one.at.date()
        by_week.setdefault(day - timedelta(days=day.weekday()), []).append(one)
    for monday, ones in sorted(by_week.items()):
        orders = [one.event for one in ones if isinstance(one.event, Order)]
        taus = [kendall(order.expected, order.said) for order in orders]
        told = [tau for tau in taus if tau is not None]
        yield Week(
            monday=monday,
            calls=call_figures(
                [one.event for one in ones if isinstance(one.event, Call)]
            ),
            tau=sum(told) / len(told) if told else None,
            minutes=_minutes(ones),
        )


def _minutes(done: Sequence[Done]) -> float:
    """Return the time between one thing and the next, breaks left out."""
    gaps = (later.at - earlier.at for earlier, later in pairwise(done))
    spent = sum((gap for gap in gaps if gap <= _BREAK), timedelta())
    return spent.total_seconds() / 60
