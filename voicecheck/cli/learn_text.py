"""Lines of a plan for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from voicecheck.learn.cards import CardSort
from voicecheck.learn.plan import Cause, Plan
from voicecheck.learn.report.words import words
from voicecheck.round.checklist import Checklist


def plan_lines(today: Plan, checklist: Checklist, learner: str) -> Iterator[str]:
    """Yield the plan: how much, zone by zone, and which commands to give."""
    at = words(checklist.language)["plan"]
    if not today.items:
        yield at["nothing"]
        return
    due = sum(item.cause is Cause.DUE for item in today.items)
    yield at["today"].format(
        count=len(today.items),
        minutes=max(1, round(today.seconds / 60)),
        due=due,
        new=len(today.items) - due,
    )
    for zone in checklist.zones:
        here = [item for item in today.items if item.zone_id == zone.id]
        if here:
            calls = sum(item.card.sort is CardSort.CALL for item in here)
            parts = ((len(here) - calls, at["place"]), (calls, at["call"]))
            told = [at["of"].format(count=n, what=what) for n, what in parts if n]
            yield f"  {zone.title}: {', '.join(told)}"
    if today.due > due:
        yield at["waiting"].format(due=today.due - due)
    places = today.of(CardSort.ZONE, CardSort.POINT)
    if places:
        yield f"  voicecheck learn next --learner {learner}"
    if today.of(CardSort.CALL):
        yield f"  voicecheck learn spot --learner {learner}"
