"""When to practise what again: FSRS-6, by the library `fsrs`.

Only grades and times are kept. The state of every card is worked out anew from
them, without chance, so that the same reviews give the same schedule anywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import fsrs

from voicecheck.learn.events import Grade, Review
from voicecheck.learn.history import Done

__all__ = [
    "ALGORITHM",
    "WEIGHTS",
    "CardState",
    "Reviewed",
    "recall_chance",
    "replay",
    "reviewed",
]

ALGORITHM = "fsrs-6"
"""Stands in every review, as `Review.scheduler`."""
WEIGHTS = (
    *(0.212, 1.2931, 2.3065, 8.2956, 6.4133, 0.8334, 3.0194, 0.001, 1.8722, 0.1666),
    *(0.796, 1.4835, 0.0614, 0.2629, 1.6483, 0.6014, 1.8729, 0.5425, 0.0912, 0.0658),
    0.1542,
)
"""w0 … w20: defaults of FSRS-6 in fsrs 6.3.2, fixed here because those of the
library change with its versions."""
WANTED_RETENTION = 0.9
"""Chance of recall at which a card falls due."""
_STEPS = (timedelta(minutes=1), timedelta(minutes=10))
_AGAIN = (timedelta(minutes=10),)

_SCHEDULER = fsrs.Scheduler(
    parameters=WEIGHTS,
    desired_retention=WANTED_RETENTION,
    learning_steps=_STEPS,
    relearning_steps=_AGAIN,
    enable_fuzzing=False,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CardState:
    """What is known of one card."""

    card_id: str
    reviews: int
    lapses: int
    """How often it was not known, the first time included."""
    last: datetime
    last_grade: Grade
    due: datetime
    stability_d: float
    """Days until the chance of recall has fallen to 0.9."""
    difficulty: float
    """1 … 10."""
    learning: bool
    """Still on the short steps of minutes."""

    def is_due(self, now: datetime) -> bool:
        """Tell whether it should be practised now."""
        return self.due <= now


@dataclass(frozen=True, slots=True, kw_only=True)
class Reviewed:
    """What one review did to its card."""

    before: CardState | None
    """None: it was the first."""
    after: CardState


def replay(done: Iterable[Done]) -> Mapping[str, CardState]:
    """Return the state of every card that was reviewed, by id.

    Args:
        done: in any order; what is no review is passed over.
    """
    return {step.after.card_id: step.after for step in reviewed(done)}


def reviewed(done: Iterable[Done]) -> Iterator[Reviewed]:
    """Yield what every review did to its card, by time.

    Args:
        done: in any order; what is no review is passed over.
    """
    states: dict[str, CardState] = {}
    cards: dict[str, fsrs.Card] = {}
    reviews = [(one.at, one.key, one.event) for one in done]
    for at, _, event in sorted(reviews, key=lambda one: one[:2]):
        if isinstance(event, Review):
            card = cards.get(event.card) or fsrs.Card(card_id=1)
            card, _ = _SCHEDULER.review_card(
                card, fsrs.Rating(event.grade), review_datetime=at.astimezone(UTC)
            )
            before = states.get(event.card)
            cards[event.card] = card
            states[event.card] = _state(event, at, card, before)
            yield Reviewed(before=before, after=states[event.card])


def _state(
    event: Review, at: datetime, card: fsrs.Card, before: CardState | None
) -> CardState:
    assert card.stability is not None
    assert card.difficulty is not None
    lapsed = event.grade is Grade.AGAIN
    return CardState(
        card_id=event.card,
        reviews=(before.reviews if before else 0) + 1,
        lapses=(before.lapses if before else 0) + lapsed,
        last=at,
        last_grade=event.grade,
        due=card.due,
        stability_d=card.stability,
        difficulty=card.difficulty,
        learning=card.state is not fsrs.State.Review,
    )


def recall_chance(state: CardState, now: datetime) -> float:
    """Return the chance that it is recalled now, 0 … 1.

    R(t, S) = (1 + f·t/S)^(-w20), t in whole days as the library counts them.
    """
    card = fsrs.Card(card_id=1, stability=state.stability_d, last_review=state.last)
    return float(_SCHEDULER.get_card_retrievability(card, now.astimezone(UTC)))
