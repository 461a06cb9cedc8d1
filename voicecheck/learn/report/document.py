"""Progress and plan as JSON data for programs."""

from __future__ import annotations

from typing import Any

from voicecheck.clock import utc_text
from voicecheck.learn.calling import CallFigures
from voicecheck.learn.plan import Plan
from voicecheck.learn.report.view import View
from voicecheck.statistics.agreement import Kappa
from voicecheck.statistics.forgetting import Forgetting
from voicecheck.statistics.interval import Interval
from voicecheck.statistics.proportions import Share

__all__ = ["FORMAT", "plan_document", "progress_document"]

FORMAT = "voicecheck-learn/1"


def plan_document(today: Plan, learner: str, checklist: str) -> dict[str, Any]:
    """Return today's plan."""
    return {
        "format": FORMAT,
        "learner": learner,
        "checklist": checklist,
        "minutes": today.minutes,
        "seconds": today.seconds,
        "due": today.due,
        "new": today.new,
        "items": [
            {
                "card": item.card.id,
                "sort": item.card.sort.value,
                "zone": item.zone_id,
                "cause": item.cause.value,
                "seconds": item.seconds,
                "chance": item.chance,
            }
            for item in today.items
        ],
    }


def progress_document(shown: View) -> dict[str, Any]:
    """Return all figures; what cannot be told is null."""
    now = shown.progress
    return {
        "format": FORMAT,
        "learner": shown.learner,
        "checklist": now.checklist,
        "until_utc": utc_text(now.until),
        "points": {"count": now.points.count, "of": now.points.of},
        "cards": {"count": now.cards.count, "of": now.cards.of},
        "remembered": now.remembered,
        "memory": _memory(now.memory),
        "due": now.due,
        "minutes": now.minutes,
        "recent": _calls(now.recent),
        "overall": _calls(now.overall),
        "weeks": [
            {
                "monday": week.monday.isoformat(),
                "minutes": week.minutes,
                "tau": week.tau,
                **_calls(week.calls),
            }
            for week in now.weeks
        ],
        "order": [
            {"at_utc": utc_text(one.at), "tau": one.tau, "distance": one.distance}
            for one in now.order
        ],
        "zones": [
            {
                "zone": zone.zone_id,
                "points": zone.points.count,
                "of": zone.points.of,
                "tau": zone.order.tau if zone.order else None,
                "distance": zone.order.distance if zone.order else None,
            }
            for zone in now.zones
        ],
        "next": [
            {
                "why": one.why.value,
                "mode": one.mode.value,
                "count": one.count,
                "of": one.of,
                "value": one.value,
                "zone": one.zone_id,
            }
            for one in shown.advice
        ],
    }


def _calls(figures: CallFigures) -> dict[str, Any]:
    found = figures.detection
    return {
        "right": _share(figures.right),
        "signals": figures.signals,
        "noises": figures.noises,
        "d_prime": _figure(found.d_prime, found.d_prime_interval) if found else None,
        "criterion": (
            _figure(found.criterion, found.criterion_interval) if found else None
        ),
        "severity": _kappa(figures.severity),
        "leak_class": _kappa(figures.leak_class),
        "released": _share(figures.released),
        "released_at_most": figures.released_at_most,
        "missed": [
            {"kind": kind, "count": count} for kind, count in figures.missed_kinds
        ],
    }


def _share(one: Share) -> dict[str, Any]:
    return {"count": one.count, "of": one.of, **_ends(one.interval)}


def _figure(value: float, interval: Interval) -> dict[str, float]:
    return {"value": value, **_ends(interval)}


def _memory(kept: Forgetting | None) -> dict[str, Any] | None:
    if kept is None:
        return None
    return {**_figure(kept.factor, kept.interval), "reviews": kept.reviews}


def _kappa(kappa: Kappa) -> dict[str, Any]:
    ends = _ends(kappa.interval) if kappa.interval else {"low": None, "high": None}
    return {"value": kappa.value, "count": kappa.count, **ends}


def _ends(interval: Interval) -> dict[str, float]:
    return {"low": interval.low, "high": interval.high}
