"""How long the questions take that pages and reports ask of a large store."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy import func, select, text

from voicecheck.bench.store_rows import FIRST_DAY, Shape, fill
from voicecheck.clock import utc_text
from voicecheck.errors import UsageError
from voicecheck.store.fleet import SqlFleet
from voicecheck.store.tables import entries

GOAL_MS = 50.0
"""For what a page asks."""
_TIMES = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class QueryTime:
    """One question, and how long its answer took."""

    name: str
    rows: int
    median_ms: float
    worst_ms: float
    cpu_ms: float
    """Median time of this program's processor: on a busy computer the rest waits."""
    for_a_page: bool
    """The goal of 50 ms counts for it."""

    @property
    def met(self) -> bool:
        """Tell whether the goal is met, or there is none."""
        return not self.for_a_page or self.median_ms <= GOAL_MS


def prepare(fleet: SqlFleet, shape: Shape) -> float:
    """Fill an empty store; return the seconds that took.

    Raises:
        UsageError: there is something in it.
    """
    if fleet.count_walks():
        raise UsageError(
            f"{fleet.place} is not empty; invented walks go into a store of their own"
        )
    began_s = time.perf_counter()
    with fleet.writing() as connection:
        fill(connection, shape)
    with fleet.writing() as connection:
        connection.execute(text("ANALYZE"))
    return time.perf_counter() - began_s


def measure(fleet: SqlFleet, shape: Shape) -> Iterator[QueryTime]:
    """Yield each question with the times of seven answers."""
    walk_id = f"00000000-0000-4000-8000-{shape.walks // 2:012x}"
    year = FIRST_DAY + timedelta(days=min(shape.days, 365))
    since, until = utc_text(year - timedelta(days=365)), utc_text(year)

    def one_walks_entries() -> int:
        query = select(entries).where(entries.c.walk_id == walk_id)
        with fleet.reading() as connection:
            return len(connection.execute(query).all())

    questions: list[tuple[str, bool, Callable[[], int]]] = [
        ("a page of open defects", True, lambda: len(fleet.open_defects(limit=100))),
        ("all open defects", False, lambda: len(fleet.open_defects())),
        ("open defects of one unit", True, lambda: len(fleet.open_defects("L-1"))),
        ("units with their status", True, lambda: len(fleet.units())),
        ("one record", True, lambda: len(fleet.record(walk_id))),
        ("one walk's entries", True, one_walks_entries),
        ("a page of walks", True, lambda: len(fleet.walks(limit=50))),
        ("a page of one unit", True, lambda: len(fleet.walks("L-1", limit=50))),
        (
            "a year of one unit",
            False,
            lambda: len(fleet.walks("L-1", since, until)) + len(fleet.defects("L-1")),
        ),
        (
            "a year of the fleet",
            False,
            lambda: len(fleet.walks(None, since, until)) + len(fleet.defects()),
        ),
    ]
    for name, for_a_page, ask in questions:
        times_ms, cpu_ms = [], []
        found = 0
        for _ in range(_TIMES):
            began_s, began_cpu_s = time.perf_counter(), time.process_time()
            found = ask()
            cpu_ms.append(1000 * (time.process_time() - began_cpu_s))
            times_ms.append(1000 * (time.perf_counter() - began_s))
        yield QueryTime(
            name=name,
            rows=found,
            median_ms=statistics.median(times_ms),
            worst_ms=max(times_ms),
            cpu_ms=statistics.median(cpu_ms),
            for_a_page=for_a_page,
        )


def count_entries(fleet: SqlFleet) -> int:
    """Return how many entries there are."""
    with fleet.reading() as connection:
        found = connection.execute(select(func.count()).select_from(entries))
        return int(found.scalar_one())
