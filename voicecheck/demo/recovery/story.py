"""One seed as a story: through the store of personal results, like a real trainee."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from voicecheck.clock import ManualClock
from voicecheck.demo.recovery.learned import NOW
from voicecheck.demo.recovery.practice import practise
from voicecheck.demo.recovery.trainee import Trainee, Weaknesses
from voicecheck.demo.recovery.watched import ASSESSOR, TRAINEE, watch
from voicecheck.learn.deck import Deck
from voicecheck.learn.keeping import Practice
from voicecheck.learn.report.view import View, view
from voicecheck.observe.keeping import Observations
from voicecheck.observe.result import Result, result
from voicecheck.people.roles import Role
from voicecheck.people.store import PeopleStore
from voicecheck.round.checklist import Checklist

SUPERVISOR = "C.Poe"


@contextmanager
def empty_store() -> Iterator[PeopleStore]:
    """Give a store for the demo alone; it is gone afterwards."""
    with (
        TemporaryDirectory(prefix="voicecheck-demo-") as folder,
        PeopleStore(Path(folder) / "people.sqlite3") as store,
    ):
        store.register(SUPERVISOR, {Role.SUPERVISOR}, by=SUPERVISOR)
        store.register(ASSESSOR, {Role.ASSESSOR}, by=SUPERVISOR)
        store.register(TRAINEE, {Role.LEARNER}, by=TRAINEE)
        yield store


def practised(store: PeopleStore, cards: Deck, weak: Weaknesses, seed: int) -> View:
    """Let a trainee practise and keep every sitting; return what it is shown."""
    clock = ManualClock()
    practice = Practice(store, TRAINEE, clock=clock)
    for sat in practise(cards, Trainee(weak, seed)):
        clock.advance((sat.at - clock.now()).total_seconds())
        practice.keep(sat.events)
    return view(TRAINEE, cards, practice.done(), NOW)


def judged(
    store: PeopleStore, checklist: Checklist, weak: Weaknesses, seed: int
) -> Result:
    """Let an assessor watch a trainee and keep every mark; return the result."""
    events = watch(checklist, Trainee(weak, seed))
    kept = Observations(store)
    kept.add(TRAINEE, events)
    seen = kept.load(TRAINEE, events[0].observation, reader=ASSESSOR)
    return result(seen, checklist)
