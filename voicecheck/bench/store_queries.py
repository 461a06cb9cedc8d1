"""How long the questions take that pages and reports ask of a large store."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import time as time_of_day
from datetime import timedelta
from pathlib import Path

import numpy as np
from sqlalchemy import Engine, event, func, select

from voicecheck.bench.store_rows import FIRST_DAY, Shape
from voicecheck.clock import utc_text
from voicecheck.report.period.figures import Known, figures
from voicecheck.report.period.loading import load_defects, load_walks
from voicecheck.round.answers import Severity
from voicecheck.statistics.shifts import plan_shifts
from voicecheck.store import archive
from voicecheck.store.defect_list import Wanted
from voicecheck.store.fleet import SqlFleet
from voicecheck.store.ports import Journal
from voicecheck.store.tables import entries

GOAL_MS = 50.0
"""For what a page asks."""
REPEATS = 20
_WALKS, _DEFECTS, _LIVE = 50, 200, 100
"""Lines on the pages of one unit, of defects, and of walks that go on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Something that a page or a report asks."""

    name: str
    ask: Callable[[int], int]
    """Ask it for the so-manieth time; return how many rows came."""
    for_a_page: bool = True
    """The goal of 50 ms counts for it."""
    times: int = REPEATS


@dataclass(frozen=True, slots=True, kw_only=True)
class QueryTime:
    """One question, and how long its answers took."""

    name: str
    rows: int
    statements: int
    """Sent to the database for one answer, the most."""
    median_ms: float
    p95_ms: float
    best_ms: float
    """The shortest: on a busy computer nearest to what the work itself takes."""
    cpu_ms: float
    """Median time of this program's processor, without that of a server."""
    for_a_page: bool

    @property
    def met(self) -> bool:
        """Tell whether the goal is met, or there is none."""
        return not self.for_a_page or self.median_ms <= GOAL_MS


def page_questions(
    fleet: SqlFleet, journal: Journal, shape: Shape
) -> tuple[Question, ...]:
    """Return what the pages of the browser ask, each time of another machine."""
    chance = shape.chance(-1)
    finished = [row.walk_id for row in fleet.walks(limit=400) if row.record]
    story = [one.defect_id for one in fleet.open_page(Wanted(), _DEFECTS).defects]
    far_back = max(0, shape.walks - _WALKS)
    since_utc = utc_text(shape.end - timedelta(days=14))

    def one_unit(number: int) -> int:
        unit = shape.unit(number)
        fleet.unit(unit)
        fleet.count_walks(unit)
        found = len(fleet.walks(unit, limit=_WALKS)) + len(fleet.conflicts(unit))
        return found + len(fleet.open_defects(unit))

    def defects(wanted: Wanted) -> Callable[[int], int]:
        return lambda _: len(fleet.open_page(wanted, _DEFECTS).defects)

    def one_walk(_: int) -> int:
        return len(journal.entries(chance.choice(finished)))

    def one_record(_: int) -> int:
        return len(fleet.record(chance.choice(finished)))

    return tuple(
        Question(name=name, ask=ask)
        for name, ask in (
            ("all units with their status", lambda _: len(fleet.units())),
            ("one unit: status, walks, defects", one_unit),
            ("open defects, the worst first", defects(Wanted())),
            ("open defects, the oldest first", defects(Wanted(oldest_first=True))),
            ("open defects, critical", defects(Wanted(severity=Severity.CRITICAL))),
            ("open defects, searched", defects(Wanted(search="leak"))),
            (
                "open defects of one unit",
                lambda n: len(fleet.open_defects(f"L-{n + 1}")),
            ),
            ("story of one defect", lambda n: len(fleet.defect(story[n]).story)),
            ("list of walks, first page", lambda _: len(fleet.walks(limit=_WALKS))),
            (
                "list of walks, last page",
                lambda _: len(fleet.walks(limit=_WALKS, offset=far_back)),
            ),
            (
                "walks that go on or were left",
                lambda _: len(
                    fleet.walks(None, since_utc, unfinished=True, limit=_LIVE)
                ),
            ),
            ("one record", one_record),
            ("one walk's journal, checked", one_walk),
        )
    )


def other_questions(
    fleet: SqlFleet, journal: Journal, shape: Shape
) -> tuple[Question, ...]:
    """Return what reports and commands ask, where there is no goal."""
    rows = [row for row in fleet.walks(limit=400) if row.record]

    def checked(number: int) -> int:
        row = rows[number]
        return archive.check(journal, Path(), row.walk_id, row).entries

    return tuple(
        Question(name=name, ask=ask, for_a_page=False, times=times)
        for name, ask, times in (
            ("one record, walked again and checked", checked, REPEATS),
            ("conflicts of the fleet", lambda _: len(fleet.conflicts()), 3),
            (
                "a year's report of one unit",
                lambda n: year_report(fleet, shape, shape.unit(n)),
                5,
            ),
            (
                "a year's report of the fleet",
                lambda _: year_report(fleet, shape, None),
                1,
            ),
        )
    )


def year_report(fleet: SqlFleet, shape: Shape, unit: str | None) -> int:
    """Load the last year and compute its figures; return how many walks it had."""
    end = FIRST_DAY.replace(hour=0) + timedelta(days=(shape.end - FIRST_DAY).days + 1)
    start = end - timedelta(days=365)
    lives = load_defects(fleet, unit, start, end)
    walks = load_walks(fleet, unit, start, end, looks=lives is None)
    units = [unit] if unit else sorted({walk.done.unit for walk in walks})
    shifts = tuple(
        shift
        for each in units
        for shift in plan_shifts(
            each,
            start.date(),
            end.date() - timedelta(days=1),
            per_day=1,
            begins=time_of_day(0),
            zone=FIRST_DAY.tzinfo,
        )
    )
    return figures(walks, Known(shifts=shifts, defects=lives), start, end).walks


def measure(question: Question) -> QueryTime:
    """Ask a question as often as it wants, once more before that to warm up."""
    times_ms, cpu_ms, found, most = [], [], 0, 0
    if question.times > 1:
        question.ask(question.times)
    for number in range(question.times):
        with counted() as statements:
            began_s, began_cpu_s = time.perf_counter(), time.process_time()
            found = question.ask(number)
            cpu_ms.append(1000 * (time.process_time() - began_cpu_s))
            times_ms.append(1000 * (time.perf_counter() - began_s))
        most = max(most, len(statements))
    return QueryTime(
        name=question.name,
        rows=found,
        statements=most,
        median_ms=float(np.median(times_ms)),
        p95_ms=float(np.percentile(times_ms, 95)),
        best_ms=min(times_ms),
        cpu_ms=float(np.median(cpu_ms)),
        for_a_page=question.for_a_page,
    )


@contextmanager
def counted() -> Iterator[list[str]]:
    """Give a list of the statements that are sent to any database meanwhile."""
    sent: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_: object) -> None:
        sent.append(statement)

    event.listen(Engine, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        event.remove(Engine, "before_cursor_execute", note)


def count_entries(fleet: SqlFleet) -> int:
    """Return how many entries there are."""
    with fleet.reading() as connection:
        found = connection.execute(select(func.count()).select_from(entries))
        return int(found.scalar_one())
