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

__all__ = ["Cause", "Plan", "PlanItem", "plan", "seconds_a_card"]

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
