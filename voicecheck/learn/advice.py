"""What to practise next, and why: the dangerous mistakes first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from voicecheck.learn.events import Mode
from voicecheck.learn.progress import Progress

__all__ = ["Advice", "Why", "advise"]

FAIR_KAPPA = 0.6
"""Below it agreement is called moderate at best (Landis & Koch 1977, customary)."""
FEWEST_PAIRS = 10
FEWEST_SIGNALS = 20
"""With fewer, the interval of d' is wider than its scale: about ±1 (ours)."""
FEWEST_NOISES = 20


class Why(StrEnum):
    """Why something is worth practising."""

    RELEASED = "released"
    """A machine was let work that may not."""
    MISSED = "missed"
    """Something wrong was called good."""
    LEANS_GOOD = "leans_good"
    """Good is said too readily."""
    LEANS_WRONG = "leans_wrong"
    """Good things are called wrong too readily."""
    SEVERITY = "severity"
    LEAK_CLASS = "leak_class"
    DUE = "due"
    ORDER = "order"
    ZONE_ORDER = "zone_order"
    UNSEEN = "unseen"
    """A zone that was not practised yet."""
    TOO_FEW = "too_few"
    """Too few calls to tell how somebody calls."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One thing to practise."""

    why: Why
    mode: Mode
    count: int = 0
    of: int = 0
    value: float | None = None
    """The figure behind it: a criterion, a kappa or a tau."""
    zone_id: str | None = None


def advise(now: Progress) -> tuple[Advice, ...]:
    """Return what to practise, the most important first."""
    return (
        *_mistakes(now),
        *_leaning(now),
        *_scales(now),
        *_due(now),
        *_order(now),
        *_unseen(now),
        *_few(now),
    )


def _mistakes(now: Progress) -> Iterator[Advice]:
    wrongly = now.recent.released
    if wrongly.count:
        yield Advice(
            why=Why.RELEASED, mode=Mode.SPOT, count=wrongly.count, of=wrongly.of
        )
    missed = sum(count for _, count in now.recent.missed_kinds)
    if missed:
        yield Advice(
            why=Why.MISSED, mode=Mode.SPOT, count=missed, of=now.recent.signals
        )


def _leaning(now: Progress) -> Iterator[Advice]:
    found = now.recent.detection
    if found is None:
        return
    if found.criterion_interval.low > 0:
        yield Advice(why=Why.LEANS_GOOD, mode=Mode.SPOT, value=found.criterion)
    elif found.criterion_interval.high < 0:
        yield Advice(why=Why.LEANS_WRONG, mode=Mode.SPOT, value=found.criterion)


def _scales(now: Progress) -> Iterator[Advice]:
    for why, kappa in (
        (Why.SEVERITY, now.recent.severity),
        (Why.LEAK_CLASS, now.recent.leak_class),
    ):
        told = kappa.value is not None and kappa.count >= FEWEST_PAIRS
        if told and kappa.value is not None and kappa.value < FAIR_KAPPA:
            yield Advice(why=why, mode=Mode.SPOT, value=kappa.value, of=kappa.count)


def _due(now: Progress) -> Iterator[Advice]:
    if now.due:
        yield Advice(why=Why.DUE, mode=Mode.NEXT, count=now.due)


def _order(now: Progress) -> Iterator[Advice]:
    """Yield the zones when their order is off, and the zone with the worst order."""
    if now.order and now.order[-1].distance:
        last = now.order[-1]
        yield Advice(why=Why.ORDER, mode=Mode.NEXT, value=last.tau, count=last.distance)
    said = [zone for zone in now.zones if zone.order and zone.order.distance]
    worst = max(said, key=lambda z: z.order.distance if z.order else 0, default=None)
    if worst is not None and worst.order is not None:
        yield Advice(
            why=Why.ZONE_ORDER,
            mode=Mode.NEXT,
            zone_id=worst.zone_id,
            value=worst.order.tau,
            count=worst.order.distance,
        )


def _unseen(now: Progress) -> Iterator[Advice]:
    for zone in now.zones:
        if not zone.points.count:
            yield Advice(why=Why.UNSEEN, mode=Mode.GUIDED, zone_id=zone.zone_id)
            return


def _few(now: Progress) -> Iterator[Advice]:
    lacking = max(FEWEST_SIGNALS - now.recent.signals, 0)
    lacking += max(FEWEST_NOISES - now.recent.noises, 0)
    if lacking:
        yield Advice(why=Why.TOO_FEW, mode=Mode.SPOT, count=lacking)
