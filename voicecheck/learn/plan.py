"""What to practise in today's ten minutes: what is due, then what is new."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from itertools import pairwise
from statistics import median

from voicecheck.learn.cards import Card, CardSort
from voicecheck.learn.deck import Deck
from voicecheck.learn.events import Mode, Review
from voicecheck.learn.history import Done
from voicecheck.learn.scheduling import CardState, recall_chance
from voicecheck.learn.situations import Situation

__all__ = ["Cause", "Plan", "PlanItem", "calls_now", "plan", "seconds_a_card"]

MINUTES = 10.0
GUESSED_S: Mapping[CardSort, float] = {
    CardSort.ZONE: 6.0,
    CardSort.POINT: 6.0,
    CardSort.CALL: 30.0,
}
"""Seconds a card before anything was measured: our own guess."""
_LONGEST_S = 180.0
"""A longer gap between two cards was a break."""
_FEWEST = 8
_EXTRA = 10
"""Calls where nothing is due and nothing is new."""


class Cause(StrEnum):
    """Why a card is in a plan."""

    DUE = "due"
    NEW = "new"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanItem:
    """One card for today."""

    card: Card
    cause: Cause
    zone_id: str
    seconds: float
    chance: float | None = None
    """Of recalling it now; None for a new one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Today's practice."""

    items: tuple[PlanItem, ...]
    minutes: float
    """The most that it may take."""
    due: int
    """Cards that are due, in the plan or not."""
    new: int
    """Cards that were never practised, in the plan or not."""

    @property
    def seconds(self) -> float:
        """How long it will take, as far as that is known."""
        return sum(item.seconds for item in self.items)

    def of(self, *sorts: CardSort) -> tuple[PlanItem, ...]:
        """Return the items of some sorts."""
        return tuple(item for item in self.items if item.card.sort in sorts)


def plan(
    cards: Deck,
    states: Mapping[str, CardState],
    now: datetime,
    *,
    minutes: float = MINUTES,
    seconds: Mapping[CardSort, float] = GUESSED_S,
    sorts: Iterable[CardSort] = tuple(CardSort),
) -> Plan:
    """Return what to practise now.

    First what is due, the least likely to be recalled in front; then new cards
    in walking order, until the minutes are full.

    Args:
        cards: of which machine.
        states: of the learner's cards, from `scheduling.replay`.
        now: the time; aware.
        minutes: the most that it may take.
        seconds: how long a card of each sort takes this learner.
        sorts: which sorts of cards are wanted.
    """
    wanted = set(sorts)
    due: list[PlanItem] = []
    new: list[PlanItem] = []
    for card in cards.cards:
        if card.sort not in wanted:
            continue
        state = states.get(card.id)
        if state is None:
            new.append(_item(cards, card, Cause.NEW, seconds, None))
        elif state.is_due(now):
            chance = recall_chance(state, now)
            due.append(_item(cards, card, Cause.DUE, seconds, chance))
    due.sort(key=lambda item: item.chance or 0.0)  # stable: ties in walking order
    return Plan(
        items=_within(minutes * 60, [*due, *new]),
        minutes=minutes,
        due=len(due),
        new=len(new),
    )


def calls_now(
    cards: Deck,
    states: Mapping[str, CardState],
    now: datetime,
    *,
    minutes: float = MINUTES,
    seconds: Mapping[CardSort, float] = GUESSED_S,
    count: int | None = None,
    zones: Iterable[str] = (),
) -> tuple[Situation, ...]:
    """Return the situations to call now.

    Of cards that are due, then of new ones. Where neither is left, of those that
    are the least likely to be recalled: practice is never refused.

    Args:
        cards: of which machine.
        states: of the learner's cards.
        now: the time; aware.
        minutes: the most that it may take, where no count is given.
        seconds: how long a card takes.
        count: how many; None: as many as fit.
        zones: ids of the only zones wanted; none: all.
    """
    a_day = float("inf") if count is not None else minutes
    today = plan(
        cards, states, now, minutes=a_day, seconds=seconds, sorts=(CardSort.CALL,)
    )
    wanted = set(zones) or {zone.id for zone in cards.checklist.zones}
    chosen = [item.card for item in today.items if item.zone_id in wanted]
    if not chosen or (count is not None and len(chosen) < count):
        known = [
            card
            for card in cards.cards
            if card.sort is CardSort.CALL
            and cards.zone_of[card.id] in wanted
            and card not in chosen
        ]
        known.sort(key=lambda card: _chance(states, card, now))
        chosen += known[: (count or _EXTRA) - len(chosen)]
    return tuple(
        cards.shown(card, states[card.id].reviews if card.id in states else 0)
        for card in chosen[:count]
    )


def _chance(states: Mapping[str, CardState], card: Card, now: datetime) -> float:
    state = states.get(card.id)
    return recall_chance(state, now) if state is not None else 0.0


def seconds_a_card(done: Sequence[Done]) -> dict[CardSort, float]:
    """Return how long a card of each sort takes this learner.

    Of calls the median gap between one and the next; gaps of more than three
    minutes are breaks. With fewer than eight gaps, and for an order, of which all
    cards are graded at once, our own guess.
    """
    seconds = dict(GUESSED_S)
    times = [
        one.at
        for one in done
        if isinstance(one.event, Review) and one.event.mode is Mode.SPOT
    ]
    gaps = [(later - earlier).total_seconds() for earlier, later in pairwise(times)]
    gaps = [gap for gap in gaps if 0 < gap <= _LONGEST_S]
    if len(gaps) >= _FEWEST:
        seconds[CardSort.CALL] = median(gaps)
    return seconds


def _item(
    cards: Deck,
    card: Card,
    cause: Cause,
    seconds: Mapping[CardSort, float],
    chance: float | None,
) -> PlanItem:
    return PlanItem(
        card=card,
        cause=cause,
        zone_id=cards.zone_of[card.id],
        seconds=seconds[card.sort],
        chance=chance,
    )


def _within(limit_s: float, items: Sequence[PlanItem]) -> tuple[PlanItem, ...]:
    """Take items in order while they fit; at least one when there is any."""
    taken: list[PlanItem] = []
    total = 0.0
    for item in items:
        if taken and total + item.seconds > limit_s:
            break
        taken.append(item)
        total += item.seconds
    return tuple(taken)
