"""The figures of simulated practice, by the code that tells real learners."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import timedelta

from voicecheck.demo.recovery import truths
from voicecheck.demo.recovery.practice import DAYS, START, as_done, practise
from voicecheck.demo.recovery.recovered import Figure
from voicecheck.demo.recovery.trainee import Trainee, Weaknesses
from voicecheck.learn.cards import CardSort
from voicecheck.learn.deck import Deck
from voicecheck.learn.history import Done
from voicecheck.learn.memory import memory
from voicecheck.learn.progress import progress
from voicecheck.round.answers import Severity
from voicecheck.statistics.means import mean_of

NOW = START + timedelta(days=DAYS)


def learned(cards: Deck, weak: Weaknesses, seed: int) -> tuple[Figure, ...]:
    """Let a trainee of one seed practise; return what is told of it."""
    trainee = Trainee(weak, seed)
    done = [one for sat in practise(cards, trainee) for one in as_done(sat, trainee)]
    return tuple(learner_figures(cards, weak, done))


def learner_figures(
    cards: Deck, weak: Weaknesses, done: Sequence[Done]
) -> Iterator[Figure]:
    """Yield each figure of a learner beside its truth."""
    now = progress(cards, done, NOW)
    found, kappa, free = now.recent.detection, now.recent.severity, now.recent.released
    yield Figure(
        name="sensitivity d'",
        truth=weak.d_prime,
        value=found.d_prime if found else None,
        interval=found.d_prime_interval if found else None,
    )
    yield Figure(
        name="criterion c",
        truth=weak.criterion,
        value=found.criterion if found else None,
        interval=found.criterion_interval if found else None,
    )
    yield Figure(
        name="wrongly let work",
        truth=1 - truths.hit_rate(weak),
        value=free.value,
        interval=free.interval,
    )
    yield Figure(
        name="severity, kappa",
        truth=truths.severity_kappa(weak, severities(cards)),
        value=kappa.value,
        interval=kappa.interval,
    )
    said = mean_of([one.tau for one in now.order if one.tau is not None])
    yield Figure(
        name="order of zones, tau",
        truth=truths.order_tau(weak, len(cards.checklist.zones)),
        value=said.value if said else None,
        interval=said.interval if said else None,
    )
    kept = memory(done, sorts=(CardSort.POINT,))
    yield Figure(
        name="memory beside plan",
        truth=weak.memory,
        value=kept.factor if kept else None,
        interval=kept.interval if kept else None,
        factor=True,
    )


def severities(cards: Deck) -> Counter[Severity]:
    """Return how often each severity is right among all situations."""
    return Counter(
        one.expected.severity
        for ones in cards.situations.values()
        for one in ones
        if one.expected.severity is not None
    )
