"""All that a view of progress shows, worked out once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from voicecheck.learn.advice import Advice, advise
from voicecheck.learn.deck import Deck
from voicecheck.learn.history import Done
from voicecheck.learn.plan import MINUTES, Plan, plan, seconds_a_card
from voicecheck.learn.progress import Progress, progress
from voicecheck.learn.scheduling import replay
from voicecheck.round.checklist import Checklist

__all__ = ["View", "view"]


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One learner and one machine, at one moment."""

    learner: str
    checklist: Checklist
    language: str
    progress: Progress
    plan: Plan
    advice: tuple[Advice, ...]


def view(
    learner: str,
    cards: Deck,
    done: Sequence[Done],
    now: datetime,
    *,
    minutes: float = MINUTES,
) -> View:
    """Return the view of a learner.

    Args:
        learner: id of the person.
        cards: of which machine, in the language of the view.
        done: what was practised, from `keeping.Practice.done`.
        now: the time; aware.
        minutes: of today's plan.
    """
    now_progress = progress(cards, done, now)
    return View(
        learner=learner,
        checklist=cards.checklist,
        language=cards.checklist.language,
        progress=now_progress,
        plan=plan(
            cards, replay(done), now, minutes=minutes, seconds=seconds_a_card(done)
        ),
        advice=advise(now_progress),
    )
