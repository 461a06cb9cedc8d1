"""What the figures of a trainee should come to, from the weaknesses alone."""

from __future__ import annotations

from collections.abc import Mapping
from statistics import NormalDist

from voicecheck.demo.recovery.trainee import Weaknesses
from voicecheck.round.answers import Severity

_NORMAL = NormalDist()


def hit_rate(weak: Weaknesses) -> float:
    """Return the share of defects that are called, of those looked at."""
    return _NORMAL.cdf(weak.d_prime / 2 - weak.criterion)


def false_alarm_rate(weak: Weaknesses) -> float:
    """Return the share of good things that are called wrong."""
    return _NORMAL.cdf(-weak.d_prime / 2 - weak.criterion)


def walked_hit_rate(weak: Weaknesses) -> float:
    """Return the share of planted faults that are found: looked at, and called."""
    return (1 - weak.passes_by) * hit_rate(weak)


def walked_d_prime(weak: Weaknesses) -> float:
    """Return d' as a walk shows it: who passes by cannot find."""
    z_hit = _NORMAL.inv_cdf(walked_hit_rate(weak))
    return z_hit - _NORMAL.inv_cdf(false_alarm_rate(weak))


def walked_criterion(weak: Weaknesses) -> float:
    """Return the criterion as a walk shows it."""
    z_hit = _NORMAL.inv_cdf(walked_hit_rate(weak))
    return -(z_hit + _NORMAL.inv_cdf(false_alarm_rate(weak))) / 2


def order_tau(weak: Weaknesses, items: int) -> float:
    """Return Kendall's tau to be expected of so many items.

    Each swap of neighbours turns one pair round, and no item is swapped twice, so
    the swaps expected of n items are p · (1 + those of n - 2) + (1 - p) · those of
    n - 1.
    """
    expected = [0.0, 0.0]
    for _ in range(2, items + 1):
        swapped, kept = 1 + expected[-2], expected[-1]
        expected.append(weak.swaps * swapped + (1 - weak.swaps) * kept)
    return 1 - 2 * expected[items] / (items * (items - 1) / 2)


def severity_kappa(weak: Weaknesses, spread: Mapping[Severity, float]) -> float:
    """Return the linearly weighted kappa of an endless number of severities.

    Worked out here from the chances, apart from `voicecheck.statistics`.

    Args:
        weak: the weaknesses.
        spread: how often each true severity occurs, in any unit.
    """
    grades, whole = list(Severity), sum(spread.values())
    joint = {(true, said): 0.0 for true in grades for said in grades}
    for true in grades:
        share = spread.get(true, 0.0) / whole
        milder = grades[max(0, true.rank - 1)]
        joint[true, milder] += share * weak.too_mild
        for said in grades:
            joint[true, said] += share * weak.severity_error / len(grades)
        joint[true, true] += share * (1 - weak.too_mild - weak.severity_error)
    said_at = {g: sum(joint[true, g] for true in grades) for g in grades}
    apart = {(a, b): abs(a.rank - b.rank) for a in grades for b in grades}
    observed = sum(apart[pair] * chance for pair, chance in joint.items())
    by_chance = sum(
        apart[true, said] * spread.get(true, 0.0) / whole * said_at[said]
        for true in grades
        for said in grades
    )
    return 1 - observed / by_chance
