"""Rows of an invented fleet, as many as one likes, without walking.

They have the shape and number of real ones, but hashes that fit nothing and
short texts of records: good for measuring queries, for nothing else.
"""

from __future__ import annotations

import hashlib
import json
import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Table, insert

from voicecheck.clock import utc_text
from voicecheck.store import tables

ANSWERS = 90
"""Of one walk: about as many as the wheel loader's."""
WALKS_A_DAY = 2
FIRST_DAY = datetime(2024, 1, 1, 6, tzinfo=UTC)
_BATCH = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """How large the invented fleet is."""

    walks: int
    units: int

    @property
    def days(self) -> int:
        """Over how many days the walks are spread."""
        return max(1, -(-self.walks // (self.units * WALKS_A_DAY)))


def fill(connection: Connection, shape: Shape, seed: int = 1) -> None:
    """Put an invented fleet into an empty store."""
    chance = random.Random(seed)
    names = [f"L-{number}" for number in range(1, shape.units + 1)]
    _put(connection, tables.units, [_unit(name) for name in names])
    batch: dict[Table, list[dict[str, Any]]] = {}
    for number in range(shape.walks):
        for table, row in _walk(number, names[number % shape.units], shape, chance):
            batch.setdefault(table, []).append(row)
        if number % _BATCH == _BATCH - 1 or number == shape.walks - 1:
            for table in tables.metadata.sorted_tables:
                _put(connection, table, batch.get(table, []))
            batch.clear()


def _put(connection: Connection, table: Table, found: list[dict[str, Any]]) -> None:
    if not found:
        return
    if connection.dialect.name != "postgresql":
        connection.execute(insert(table), found)
        return
    names = list(found[0])
    columns = ", ".join(f'"{name}"' for name in names)
    cursor = connection.connection.cursor()
    with cursor.copy(f"COPY {table.name} ({columns}) FROM STDIN") as copy:
        for row in found:
            copy.write_row([row[name] for name in names])


def _walk(
    number: int, unit: str, shape: Shape, chance: random.Random
) -> Iterator[tuple[Table, dict[str, Any]]]:
    walk_id = f"00000000-0000-4000-8000-{number:012x}"
    turn = number // shape.units
    began = FIRST_DAY + timedelta(hours=turn * 24 / WALKS_A_DAY, seconds=number % 3600)
    ended_utc = utc_text(began + timedelta(minutes=20))
    head = {"head_seq": ANSWERS + 3, "head_sha256": _hash(walk_id)}
    yield (
        tables.walks,
        {
            "walk_id": walk_id,
            "unit": unit,
            "operator": f"operator {chance.randrange(40)}",
            "checklist": "wheel-loader",
            "checklist_version": "1",
            "checklist_sha256": _hash("checklist"),
            "started_utc": utc_text(began),
            "last_utc": ended_utc,
            **head,
        },
    )
    for seq in range(1, ANSWERS + 4):
        yield tables.entries, _entry(walk_id, seq, ended_utc)
    text = json.dumps({"record_id": walk_id, "invented": "x" * 2000})
    yield (
        tables.records,
        {
            "record_id": walk_id,
            "path": f"records/{walk_id}.json",
            "content_sha256": _hash(text),
            "file_sha256": _hash(text),
            "status": "signed",
            "outcome": chance.choice(["may_work", "may_work_with_defects"]),
            **head,
        },
    )
    yield tables.record_texts, {"record_id": walk_id, "text": text}
    if number % 4 == 0:  # one new defect in two days
        yield tables.defects, _defect(number, unit, began, shape, chance)


def _entry(walk_id: str, seq: int, at_utc: str) -> dict[str, Any]:
    return {
        "walk_id": walk_id,
        "seq": seq,
        "at_utc": at_utc,
        "kind": "answer_confirmed",
        "payload": '{"event":{"answer":{"answer":"good"},"checkpoint_id":"rim",'
        '"type":"answer_confirmed"},"how":{"confirmed_by":"implicit",'
        '"mode":"spoken","words":["good"]}}',
        "previous_sha256": f"{walk_id[-12:]:0>32}{seq - 1:032x}",
        "sha256": f"{walk_id[-12:]:0>32}{seq:032x}",
    }


def _defect(
    number: int, unit: str, began: datetime, shape: Shape, chance: random.Random
) -> dict[str, Any]:
    """The last three days' defects are open, and one in fifty of the older."""
    last_day = FIRST_DAY + timedelta(days=shape.days - 3)
    is_open = began > last_day or chance.random() < 1 / 50
    rank = chance.choice([0, 0, 0, 1, 1, 2])
    closed = None if is_open else utc_text(began + timedelta(days=3))
    return {
        "defect_id": f"00000000-0000-4000-9000-{number:012x}",
        "unit": unit,
        "checkpoint_id": f"point_{chance.randrange(ANSWERS)}",
        "title": "Left front rim",
        "words": "cracked",
        "severity": ["minor", "major", "critical"][rank],
        "severity_rank": rank,
        "state": "found" if is_open else "checked",
        "holding": is_open and rank == 2,
        "found_utc": utc_text(began),
        "found_by": "operator",
        "last_utc": utc_text(began),
        "closed_utc": closed,
        "sightings": 1,
        "conflict": False,
        "heads": _hash(str(number)),
    }


def _unit(name: str) -> dict[str, Any]:
    return {
        "unit": name,
        "checklist": "wheel-loader",
        "title": f"Wheel loader {name}",
        "place": "Stonefold Quarry",
        "hour_meter_h": 4527.3,
        "hour_meter_utc": utc_text(FIRST_DAY),
    }


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
