"""A share of trials, how sure it is, and how many trials would be needed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

from scipy.stats import beta, binom

from voicecheck.statistics.interval import Interval

MOST_NEEDED = 1_000_000
"""Beyond this many trials nobody would go; `faults_needed` refuses."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """So many of so many, with the interval of Wilson."""

    count: int
    of: int
    interval: Interval

    @property
    def value(self) -> float | None:
        """0 … 1; None: of nothing."""
        return self.count / self.of if self.of else None


def share_of(count: int, of: int, confidence: float = 0.95) -> Share:
    """Return a share with its interval; see `wilson`."""
    return Share(count=count, of=of, interval=wilson(count, of, confidence))


def wilson(successes: int, n: int, confidence: float = 0.95) -> Interval:
    """Return the score interval of a proportion, 0 … 1.

    Args:
        successes: trials that had the property, 0 … n.
        n: trials, at least 0; none gives the interval from 0 to 1.
        confidence: of the interval, two-sided, between 0 and 1.

    Raises:
        ValueError: successes lies outside 0 … n, or confidence outside 0 … 1.

    Source:
        Wilson 1927, JASA 22; without continuity correction.
    """
    _check(successes, n, confidence)
    if n == 0:
        return Interval(low=0.0, high=1.0)
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    share, square = successes / n, z**2
    centre = (share + square / (2 * n)) / (1 + square / n)
    half = math.sqrt(share * (1 - share) / n + square / (4 * n**2))
    half *= z / (1 + square / n)
    # rounding must not leave the ends: none of n begins at exactly 0
    return Interval(
        low=0.0 if successes == 0 else max(0.0, centre - half),
        high=1.0 if successes == n else min(1.0, centre + half),
    )


def exact(successes: int, n: int, confidence: float = 0.95) -> Interval:
    """Return the exact interval of a proportion, wider than `wilson`.

    Raises:
        ValueError: as `wilson`.

    Source:
        Clopper & Pearson 1934, Biometrika 26.
    """
    _check(successes, n, confidence)
    tail = (1 - confidence) / 2
    low = beta.ppf(tail, successes, n - successes + 1) if successes else 0.0
    high = beta.ppf(1 - tail, successes + 1, n - successes) if successes < n else 1.0
    return Interval(low=float(low), high=float(high))


def upper_bound(failures: int, n: int, certainty: float = 0.95) -> float:
    """Return the share of failures that is not exceeded, with this certainty.

    Exact and one-sided. With no failure seen it is 1 - (1 - certainty)^(1/n),
    about 3 / n at 95 % (Hanley & Lippman-Hand 1983, JAMA 249).

    Raises:
        ValueError: failures lies outside 0 … n, or certainty outside 0 … 1.
    """
    _check(failures, n, certainty)
    if failures == n:
        return 1.0
    return float(beta.ppf(certainty, failures + 1, n - failures))


def lower_bound(failures: int, n: int, certainty: float = 0.95) -> float:
    """Return the share of failures that is at least there, with this certainty."""
    return 1 - upper_bound(n - failures, n, certainty)


def faults_needed(miss_share: float, certainty: float, misses: int = 0) -> int:
    """Return how many faults to plant so that a share of misses can be ruled out.

    Args:
        miss_share: the most that may be missed in the long run, in 0 … 1.
        certainty: how sure the statement is to be, in 0 … 1.
        misses: how many of the planted ones were missed after all.

    Returns:
        The least n for which `misses` of n shows a share of at most
        `miss_share`: 59 for 5 % at 95 % with no miss, 93 with one.

    Raises:
        ValueError: a share outside 0 … 1, or more than a million would be needed.

    Source:
        Inversion of the binomial distribution; the figures are those of Wilks
        1941, Ann. Math. Stat. 12, for tolerance limits.
    """
    if not (0 < miss_share < 1 and 0 < certainty < 1 and misses >= 0):
        raise ValueError("shares lie between 0 and 1, misses are 0 or more")

    def shown(n: int) -> bool:
        return float(binom.cdf(misses, n, miss_share)) <= 1 - certainty + 1e-12

    low, high = misses, misses + 1
    while not shown(high):
        low, high = high, high * 2
        if high > MOST_NEEDED:
            raise ValueError(f"more than {MOST_NEEDED} faults would be needed")
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if shown(middle) else (middle, high)
    return high


class Shown(StrEnum):
    """What a number of misses shows about the share that is missed."""

    WITHIN = "within"
    BEYOND = "beyond"
    TOO_FEW = "too_few"


@dataclass(frozen=True, slots=True, kw_only=True)
class MissVerdict:
    """Whether the planted faults tell if somebody misses too many."""

    shown: Shown
    missed: int
    planted: int
    allowed_share: float
    certainty: float
    at_most: float
    """The share of misses that is not exceeded, with this certainty."""
    at_least: float
    """The share of misses that is there, with this certainty."""
    needed: int
    """How many faults would have to be planted, with as many missed as now, to
    show a share within what is allowed."""


def judge_misses(
    missed: int, planted: int, *, allowed_share: float, certainty: float = 0.95
) -> MissVerdict:
    """Tell whether so many misses keep within a share, go beyond it, or tell nothing.

    Raises:
        ValueError: missed lies outside 0 … planted, or a share outside 0 … 1.
    """
    at_most = upper_bound(missed, planted, certainty)
    at_least = lower_bound(missed, planted, certainty)
    shown = Shown.TOO_FEW
    if at_most <= allowed_share + 1e-12:
        shown = Shown.WITHIN
    elif at_least > allowed_share:
        shown = Shown.BEYOND
    return MissVerdict(
        shown=shown,
        missed=missed,
        planted=planted,
        allowed_share=allowed_share,
        certainty=certainty,
        at_most=at_most,
        at_least=at_least,
        needed=faults_needed(allowed_share, certainty, missed),
    )


def _check(successes: int, n: int, confidence: float) -> None:
    if not 0 <= successes <= n:
        raise ValueError(f"{successes} of {n} is no share")
    if not 0 < confidence < 1:
        raise ValueError(f"a confidence lies between 0 and 1, not at {confidence}")
