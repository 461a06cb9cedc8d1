"""Rows of an invented fleet, as many as one likes, from a few real walks.

All hashes are right: chains, records and stories of defects pass every check.
Only the answers repeat themselves, and hour meters do not run on.
"""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import Table

from voicecheck.bench.store_patterns import Pattern, Repeated
from voicecheck.bench.store_stories import Stories, Story
from voicecheck.clock import utc_text
from voicecheck.defects.story import fold
from voicecheck.record.steps import JournalHead
from voicecheck.store import rows, tables
from voicecheck.store.defect_rows import defect_values, event_values
from voicecheck.store.ports import WalkRow

WALKS_A_DAY = 2
FIRST_DAY = datetime(2024, 1, 1, 4, tzinfo=UTC)
_HOURS_APART = 24 // WALKS_A_DAY
_UNFINISHED = 199
"""Of so many walks one is left in the middle."""
_LEFT_AFTER = 40
"""Entries of a walk that is left."""

Rows = list[tuple[Table, Sequence[Any]]]
"""Each with the values of its columns in their order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """How large the invented fleet is."""

    walks: int
    units: int
    seed: int = 1

    @property
    def turns(self) -> int:
        """How many walks each unit has, the last of them perhaps not all units."""
        return max(1, -(-self.walks // self.units))

    @property
    def end(self) -> datetime:
        """Just after the last walk."""
        return FIRST_DAY + timedelta(hours=self.turns * _HOURS_APART)

    def unit(self, number: int) -> str:
        """Return which machine this walk went round."""
        return f"L-{number % self.units + 1}"

    def walk_id(self, number: int) -> str:
        """Return the id of a walk, a UUID (version 4) that the seed gives."""
        return _uuid(self.chance(number))

    def chance(self, number: int) -> random.Random:
        """Return chance for one walk, the same each time."""
        return random.Random(f"{self.seed}:{number}")


def fleet_rows(shape: Shape, checklist_text: tuple[str, str]) -> Rows:
    """Return the fleet list, and the checklist that all walks follow."""
    found: Rows = [(tables.checklists, checklist_text)]
    for number in range(shape.units):
        name = shape.unit(number)
        row = (name, "wheel-loader", f"Wheel loader {name}", "Stonefold Quarry")
        found.append((tables.units, (*row, 4527.3, utc_text(FIRST_DAY))))
    return found


def walk_rows(
    shape: Shape, patterns: Sequence[Pattern], skip: int = 0
) -> Iterator[Rows]:
    """Yield the rows of each walk and of what was repaired before it.

    Args:
        shape: of the fleet.
        patterns: of its walks.
        skip: so many walks are stored already; nothing is yielded for them.

    Yields:
        With the last walk come the defects that stay open.
    """
    stories = Stories()
    for number in range(shape.walks):
        chance = shape.chance(number)
        walk_id, unit = _uuid(chance), shape.unit(number)
        pattern, operator = chance.choice(patterns), f"operator {chance.randrange(40)}"
        turn = number // shape.units
        began = FIRST_DAY + timedelta(
            hours=turn * _HOURS_APART + number % shape.units % 10
        )
        hour, left = f"{began:%Y-%m-%dT%H}", number % _UNFINISHED == _LEFT_AFTER
        done = list(stories.repaired(turn, utc_text(began)))
        if not left:
            stories.walked(
                unit,
                turn,
                pattern.seen(walk_id),
                at_utc=hour + pattern.steps[-1].time,
                by=operator,
                chance=chance,
            )
        if number < skip:
            continue
        repeated = pattern.repeated(
            walk_id,
            unit=unit,
            operator=operator,
            hour=hour,
            most=min(_LEFT_AFTER, len(pattern.steps) // 2) if left else 0,
        )
        found = _rows(pattern, repeated, unit, operator)
        if number == shape.walks - 1:
            done.extend(stories.left())
        yield [*found, *(row for story in done for row in _story_rows(story))]


def _rows(pattern: Pattern, walk: Repeated, unit: str, operator: str) -> Rows:
    first, last = walk.entries[0], walk.entries[-1]
    listed = WalkRow(
        walk_id=first[0],
        unit=unit,
        operator=operator,
        checklist=pattern.checklist.name,
        checklist_version=pattern.checklist.version,
        checklist_sha256=pattern.checklist.sha256,
        started_utc=first[2],
        last_utc=last[2],
        head=JournalHead(seq=last[1], sha256=last[6]),
    )
    found: Rows = [(tables.walks, _in_order(tables.walks, rows.walk_values(listed)))]
    found += [(tables.entries, entry) for entry in walk.entries]
    if walk.record is not None:
        values = _in_order(tables.records, rows.record_values(walk.record))
        found.append((tables.records, values))
        found.append((tables.record_texts, (walk.record.record_id, walk.text)))
    return found


def _story_rows(story: Story) -> Rows:
    values = defect_values(fold(story))
    return [
        (tables.defects, _in_order(tables.defects, values)),
        *(
            (tables.defect_events, _in_order(tables.defect_events, event_values(one)))
            for one in story
        ),
    ]


def _in_order(table: Table, values: dict[str, Any]) -> tuple[Any, ...]:
    return tuple(values[column.name] for column in table.columns)


def _uuid(chance: random.Random) -> str:
    return str(uuid.UUID(int=chance.getrandbits(128), version=4))
