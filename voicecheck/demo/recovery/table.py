"""What was recovered, as rows of text and as JSON data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any

from voicecheck.demo.recovery.recovered import Recovered
from voicecheck.demo.recovery.trainee import Weaknesses
from voicecheck.statistics.interval import Interval

FORMAT = "voicecheck/recovery/1"

HEAD = ("figure", "put in", "mean that came out", "told", "intervals holding it")


def rows(found: Sequence[Recovered]) -> Iterator[tuple[str, ...]]:
    """Yield one row of text a figure, below `HEAD`."""
    for one in found:
        middle = "–" if one.middle is None else f"{one.middle:.2f}"
        share = "a walk has none"
        if one.coverage is not None and one.coverage_interval is not None:
            low, high = one.coverage_interval.low, one.coverage_interval.high
            share = f"{one.coverage:.1%} ({low:.0%} … {high:.0%})"
        yield (
            one.name,
            f"{one.truth:.2f}",
            middle + _ends(one.middle_interval),
            f"{one.told}",
            share,
        )


def document(
    kind: str,
    weak: Weaknesses,
    found: Sequence[Recovered],
    first_seed: int,
    extra: dict[str, Any],
) -> dict[str, Any]:
    """Return all of it as JSON data.

    Args:
        kind: "learn" or "observe".
        weak: what was put in.
        found: what came out.
        first_seed: of how many seeds, says each figure.
        extra: what only one of the two kinds has.
    """
    return {
        "format": FORMAT,
        "kind": kind,
        "first_seed": first_seed,
        "put_in": asdict(weak),
        "figures": [{**asdict(one), "coverage": one.coverage} for one in found],
        **extra,
    }


def _ends(interval: Interval | None) -> str:
    return "" if interval is None else f" ({interval.low:.2f} … {interval.high:.2f})"
