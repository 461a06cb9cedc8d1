"""A course across its trainees: which planted faults are missed, and what to change.

An item is a fault as it was planted: point, expected answer and checklist. Of each
trainee the first observation counts, since the second one is of somebody who knows.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from voicecheck.observe.faults import FaultResult
from voicecheck.observe.keeping import started
from voicecheck.observe.result import Result
from voicecheck.observe.scenario import PlantedFault
from voicecheck.observe.walked import Look
from voicecheck.record.answer_json import answer_to_json
from voicecheck.record.canonical import sha256_of
from voicecheck.statistics.items import CourseFigures, ItemFigures, item_figures
from voicecheck.statistics.ordering import EditKind

HARD = 0.5
"""Found by less than half: ours."""
LEAST_MET = 3
"""Fewer trainees suggest nothing."""
TURNED = 0.0
"""A fault that goes against the rest, with its whole interval, is no good item:
classical test theory."""
OFTEN = 0.3
"""Share of walks in which a zone was out of its place; ours."""


class Hint(StrEnum):
    """What could be changed."""

    HARD = "hard"
    HARD_PASSED = "hard_passed"
    """Missed because it was not looked at."""
    HARD_LOOKED = "hard_looked"
    """Missed in spite of a look."""
    EASY = "easy"
    TURNED = "turned"
    ORDER = "order"


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """One thing to change, with what it rests on."""

    hint: Hint
    where: str
    """A checkpoint; for the order a zone."""
    count: int
    of: int
    planted: PlantedFault | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One planted fault across the trainees."""

    fault: PlantedFault
    figures: ItemFigures
    missed_by_look: dict[Look, int]
    """Of those who missed it: how they had looked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """All of it."""

    observations: int
    trainees: int
    items: tuple[Item, ...]
    """The hardest first."""
    figures: CourseFigures
    suggestions: tuple[Suggestion, ...]


def course(results: Sequence[Result]) -> Course:
    """Put the results of a course together.

    Args:
        results: of any number of trainees, on one checklist or several.
    """
    firsts = _firsts(results)
    faults: dict[str, PlantedFault] = {}
    rows: list[dict[str, FaultResult]] = []
    for one in firsts:
        row = {_key(one, found.fault): found for found in one.faults}
        faults |= {key: found.fault for key, found in row.items() if key not in faults}
        rows.append(row)
    keys = list(faults)
    grid = [[_entry(row.get(key)) for key in keys] for row in rows]
    figures = item_figures(grid)
    items = [
        Item(fault=faults[key], figures=figure, missed_by_look=_looks(rows, key))
        for key, figure in zip(keys, figures.items, strict=True)
    ]
    items.sort(key=lambda item: (item.figures.difficulty or 0, item.fault.checkpoint))
    return Course(
        observations=len(results),
        trainees=len(firsts),
        items=tuple(items),
        figures=figures,
        suggestions=(*_of_items(items), *_of_order(firsts)),
    )


def _firsts(results: Sequence[Result]) -> list[Result]:
    """The first observation of each trainee."""
    found: dict[str, Result] = {}
    for one in sorted(results, key=lambda r: started(r.observation).at_utc):
        found.setdefault(started(one.observation).trainee, one)
    return list(found.values())


def _key(result: Result, fault: PlantedFault) -> str:
    return sha256_of(
        {
            "checklist": result.scenario.checklist_sha256,
            "checkpoint": fault.checkpoint,
            "expected": answer_to_json(fault.expected),
        }
    )


def _entry(found: FaultResult | None) -> int | None:
    return None if found is None else int(found.found)


def _looks(rows: Sequence[dict[str, FaultResult]], key: str) -> dict[Look, int]:
    missed = [row[key].look for row in rows if key in row and not row[key].found]
    return dict(Counter(missed))


def _of_items(items: Sequence[Item]) -> list[Suggestion]:
    found: list[Suggestion] = []
    for item in items:
        figures, share = item.figures, item.figures.difficulty
        if share is None or figures.persons < LEAST_MET:
            continue
        hints = []
        if share < HARD:
            hints += [Hint.HARD, _why_hard(item)]
        if figures.right == figures.persons:
            hints.append(Hint.EASY)
        turned = figures.discrimination_interval
        if turned is not None and turned.high < TURNED:
            hints.append(Hint.TURNED)
        found += [
            Suggestion(
                hint=hint,
                where=item.fault.checkpoint,
                count=figures.right,
                of=figures.persons,
                planted=item.fault,
            )
            for hint in hints
        ]
    return found


def _why_hard(item: Item) -> Hint:
    """Not looked at, or looked at and not known: the larger part decides."""
    looked = sum(n for look, n in item.missed_by_look.items() if look.proper)
    rest = sum(item.missed_by_look.values()) - looked
    return Hint.HARD_LOOKED if looked > rest else Hint.HARD_PASSED


def _of_order(results: Sequence[Result]) -> list[Suggestion]:
    walks = [one for one in results if one.order.zone_tau is not None]
    if len(walks) < LEAST_MET:
        return []
    moved = Counter(
        step.item
        for one in walks
        for step in one.order.zone_edits.steps
        if step.kind is EditKind.MOVED
    )
    return [
        Suggestion(hint=Hint.ORDER, where=zone, count=count, of=len(walks))
        for zone, count in moved.most_common()
        if count >= OFTEN * len(walks)
    ]
