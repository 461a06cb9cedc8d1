"""How well situations were called: detection, severity, class, release."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from voicecheck.learn.events import Call
from voicecheck.statistics.agreement import (
    Kappa,
    Weights,
    agreement_table,
    weighted_kappa,
)
from voicecheck.statistics.detection import Detection, detection
from voicecheck.statistics.proportions import Share, share_of, upper_bound

__all__ = ["CallFigures", "call_figures", "released", "was_missed"]

_GRADES = 3
"""Severities, and leak classes, are three each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CallFigures:
    """Figures of some calls. What cannot be told is None, never a zero."""

    right: Share
    """Calls that were right in every part."""
    signals: int
    """Situations in which something is wrong."""
    noises: int
    """Situations in which nothing is wrong."""
    detection: Detection | None
    """Something wrong against nothing wrong; None without calls of both."""
    severity: Kappa
    """Agreement with the course, weighted linearly, where both name a severity."""
    leak_class: Kappa
    released: Share
    """Machines let work, of those that may not."""
    released_at_most: float | None
    """The share wrongly released is not above this, with 95 % certainty; None
    where no such machine was called."""
    missed_kinds: tuple[tuple[str, int], ...]
    """Kinds of which something wrong was called good, the most frequent first."""


def was_missed(call: Call) -> bool:
    """Tell whether something wrong was called good: the dangerous mistake."""
    return call.said.opened.all_well and not call.expected.opened.all_well


def released(call: Call) -> bool:
    """Tell whether a machine was let work that may not."""
    return call.said.may_work and not call.expected.may_work


def call_figures(calls: Sequence[Call]) -> CallFigures:
    """Return the figures of some calls, in any order."""
    signals = [call for call in calls if not call.expected.opened.all_well]
    noises = [call for call in calls if call.expected.opened.all_well]
    not_to_work = [call for call in calls if not call.expected.may_work]
    wrongly = sum(released(call) for call in not_to_work)
    missed = Counter(kind_of(call) for call in signals if was_missed(call))
    return CallFigures(
        right=share_of(sum(call.said == call.expected for call in calls), len(calls)),
        signals=len(signals),
        noises=len(noises),
        detection=detection(
            sum(not was_missed(call) for call in signals),
            len(signals),
            sum(not call.said.opened.all_well for call in noises),
            len(noises),
        ),
        severity=_severity(calls),
        leak_class=_leak_class(calls),
        released=share_of(wrongly, len(not_to_work)),
        released_at_most=(
            upper_bound(wrongly, len(not_to_work)) if not_to_work else None
        ),
        missed_kinds=tuple(missed.most_common()),
    )


def kind_of(call: Call) -> str:
    """Return the kind of the situation that was called."""
    return call.situation.partition("@")[0].rpartition("/")[0]


def _severity(calls: Sequence[Call]) -> Kappa:
    pairs = [
        (call.expected.severity.rank, call.said.severity.rank)
        for call in calls
        if call.expected.severity is not None and call.said.severity is not None
    ]
    return weighted_kappa(agreement_table(pairs, _GRADES), Weights.LINEAR)


def _leak_class(calls: Sequence[Call]) -> Kappa:
    pairs = [
        (call.expected.leak_class.rank, call.said.leak_class.rank)
        for call in calls
        if call.expected.leak_class is not None and call.said.leak_class is not None
    ]
    return weighted_kappa(agreement_table(pairs, _GRADES), Weights.LINEAR)
