"""What most of the findings come from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ParetoRow:
    """One class of things, with the sum of all classes up to it."""

    name: str
    count: int
    share: float
    """Of all, 0 … 1."""
    cumulative: float
    """Share of this class and all larger ones; 1 in the last row."""


def pareto(names: Iterable[str]) -> tuple[ParetoRow, ...]:
    """Return how often each name occurs, the most frequent first.

    Names that occur equally often are in alphabetical order. Nothing gives ().

    Source:
        Definition of the Pareto diagram: classes by falling frequency, with the
        cumulative share; common practice of quality work.
    """
    counts = sorted(Counter(names).items(), key=lambda item: (-item[1], item[0]))
    total = sum(count for _, count in counts)
    rows, so_far = [], 0
    for name, count in counts:
        so_far += count
        rows.append(
            ParetoRow(
                name=name,
                count=count,
                share=count / total,
                cumulative=so_far / total,
            )
        )
    return tuple(rows)
