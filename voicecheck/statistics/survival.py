"""Time until something happens, where some have not happened yet."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """How long one thing was watched, and whether it happened at the end."""

    duration: float
    """>= 0, in any unit."""
    happened: bool
    """False: still open when it was last looked at (censored)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurvivalStep:
    """The share still open after a time at which something happened."""

    time: float
    at_risk: int
    """Watched until just before this time."""
    happened: int
    survival: float
    """0 … 1."""
    standard_error: float
    """Greenwood's."""
    low: float
    """Bounds of the confidence interval; both are 0 where survival is 0."""
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Median:
    """The time by which half have happened; None where it is not reached."""

    value: float | None
    low: float | None
    high: float | None


def kaplan_meier(
    spans: Sequence[Span], *, confidence: float = 0.95
) -> tuple[SurvivalStep, ...]:
    """Return the share still open over time, a step for each time of an event.

    Args:
        spans: all things watched, those still open too. A thing that was last
            seen open at the time of another's event counts as at risk there.
        confidence: of the interval, 0 … 1.

    Raises:
        ValueError: a duration is negative or no number.

    Source:
        Kaplan & Meier 1958, J. Am. Stat. Assoc. 53:457-481; variance after
        Greenwood 1926; interval on the scale log(-log S), as in Kalbfleisch &
        Prentice, The Statistical Analysis of Failure Time Data.
    """
    if any(not span.duration >= 0 or math.isinf(span.duration) for span in spans):
        raise ValueError("a duration is a number, zero or more")
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    steps, survival, greenwood = [], 1.0, 0.0
    durations = sorted(span.duration for span in spans)
    events = Counter(span.duration for span in spans if span.happened)
    for time, happened in sorted(events.items()):
        at_risk = len(durations) - bisect_left(durations, time)
        survival *= 1 - happened / at_risk
        if happened < at_risk:
            greenwood += happened / (at_risk * (at_risk - happened))
        low, high = _interval(survival, greenwood, z)
        steps.append(
            SurvivalStep(
                time=time,
                at_risk=at_risk,
                happened=happened,
                survival=survival,
                standard_error=survival * math.sqrt(greenwood),
                low=low,
                high=high,
            )
        )
    return tuple(steps)


def median_time(steps: Sequence[SurvivalStep]) -> Median:
    """Return when half have happened, with its interval.

    Source:
        Brookmeyer & Crowley 1982, Biometrics 38:29-41: the times at which the
        bounds of the curve reach one half.
    """
    half = 0.5 + 1e-12  # a product of fractions may miss one half by a hair

    def first(bounds: Sequence[float]) -> float | None:
        return next(
            (s.time for s, b in zip(steps, bounds, strict=True) if b <= half), None
        )

    return Median(
        value=first([step.survival for step in steps]),
        low=first([step.low for step in steps]),
        high=first([step.high for step in steps]),
    )


def _interval(survival: float, greenwood: float, z: float) -> tuple[float, float]:
    if survival <= 0:
        return 0.0, 0.0
    log_survival = math.log(survival)
    half = z * math.sqrt(greenwood) / abs(log_survival)
    middle = math.log(-log_survival)
    return (
        math.exp(-math.exp(min(middle + half, 700))),
        math.exp(-math.exp(middle - half)),
    )
