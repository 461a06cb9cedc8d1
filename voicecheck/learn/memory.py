"""How fast a learner forgets, beside what the schedule supposes of everybody."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from voicecheck.learn.cards import CardSort, parse
from voicecheck.learn.events import Grade
from voicecheck.learn.history import Done
from voicecheck.learn.scheduling import WEIGHTS, reviewed
from voicecheck.statistics.forgetting import FSRS6_DECAY, Forgetting, forgetting

__all__ = ["BY_HEART", "memory"]

assert WEIGHTS[20] == FSRS6_DECAY  # the curve and the schedule are of one version


BY_HEART = (CardSort.ZONE, CardSort.POINT)
"""Cards that ask for memory; those of calls ask for judgement."""


def memory(
    done: Iterable[Done], sorts: Collection[CardSort] = BY_HEART
) -> Forgetting | None:
    """Return the factor between this learner's memory and the schedule's.

    Reviews on the day of the one before tell nothing and are passed over. A card is
    recalled when it is graded hard or better.

    Args:
        done: in any order; what is no review is passed over.
        sorts: which cards count.

    Returns:
        None where too few reviews tell.
    """
    elapsed_d, stability_d, recalled = [], [], []
    for step in reviewed(done):
        if step.before is None or parse(step.after.card_id).sort not in sorts:
            continue
        days = (step.after.last - step.before.last).days
        if days > 0:
            elapsed_d.append(float(days))
            stability_d.append(step.before.stability_d)
            recalled.append(step.after.last_grade is not Grade.AGAIN)
    return forgetting(elapsed_d, stability_d, recalled)
