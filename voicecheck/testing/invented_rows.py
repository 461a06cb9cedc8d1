"""Rows for Hypothesis: small stores with ties, gaps and everything left open."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from hypothesis import strategies as st
from sqlalchemy import Table, delete, insert

from voicecheck.defects.story import Defect, DefectState
from voicecheck.record.steps import JournalHead
from voicecheck.round.answers import Severity
from voicecheck.store import rows, tables
from voicecheck.store.database import Database
from voicecheck.store.defect_rows import defect_values
from voicecheck.store.ports import RecordRow, WalkRow

UNITS = ("L-1", "L-2", "Ä 3")
TIMES = tuple(f"2026-01-0{day}T06:00:00.000Z" for day in range(1, 8))
_HEAD = JournalHead(seq=1, sha256="ab" * 32)
_WORDS = ("cracked, major", "Öl leak, class II", "LOOSE", "", "100% _x_")


@dataclass(frozen=True, slots=True, kw_only=True)
class Invented:
    """What is put into a store."""

    units: tuple[str, ...]
    walks: tuple[WalkRow, ...]
    defects: tuple[Defect, ...]


@st.composite
def stores(draw: st.DrawFn) -> Invented:
    """Draw a store; few times, so that many are the same."""
    walks = [_walk(draw, number) for number in range(draw(st.integers(0, 12)))]
    found = [_defect(draw, number) for number in range(draw(st.integers(0, 10)))]
    return Invented(units=UNITS, walks=tuple(walks), defects=tuple(found))


def put(store: Database, invented: Invented) -> None:
    """Put it into a store in place of whatever is there."""
    listed = [
        {"unit": unit, "checklist": "small", "title": "", "place": ""}
        for unit in invented.units
    ]
    kept = [walk.record for walk in invented.walks if walk.record is not None]
    new: dict[Table, list[dict[str, Any]]] = {
        tables.units: listed,
        tables.walks: [rows.walk_values(walk) for walk in invented.walks],
        tables.records: [rows.record_values(record) for record in kept],
        tables.defects: [defect_values(defect) for defect in invented.defects],
    }
    with store.writing() as connection:
        for table in reversed(new):
            connection.execute(delete(table))
        for table, values in new.items():
            if values:
                connection.execute(insert(table), values)


def _walk(draw: st.DrawFn, number: int) -> WalkRow:
    # ids in another order than the one of writing
    walk_id = f"{(number * 7) % 13:08x}-0000-4000-8000-000000000000"
    started, last = sorted((draw(st.sampled_from(TIMES)), draw(_times())))
    walk = WalkRow(
        walk_id=walk_id,
        unit=draw(st.sampled_from(UNITS[:2])),
        operator="J.Doe",
        checklist="small",
        checklist_version="1",
        checklist_sha256="cd" * 32,
        started_utc=started,
        last_utc=last,
        head=_HEAD,
    )
    if draw(st.booleans()):
        return walk
    outcomes = ("may_work", "may_work_with_defects", "out_of_service")
    record = RecordRow(
        record_id=walk_id,
        path=f"records/{walk_id}.json",
        content_sha256="11" * 32,
        file_sha256="22" * 32,
        status=draw(st.sampled_from(("signed", "declined"))),
        outcome=draw(st.sampled_from(outcomes)),
        head=_HEAD,
    )
    return replace(walk, record=record)


def _times() -> st.SearchStrategy[str]:
    return st.sampled_from(TIMES)


def _defect(draw: st.DrawFn, number: int) -> Defect:
    closed: Any = draw(st.none() | _times())
    return Defect(
        defect_id=f"{(number * 5) % 11:08x}-0000-4000-9000-000000000000",
        unit=draw(st.sampled_from(UNITS)),
        checkpoint_id=draw(st.sampled_from(("horn", "left_tyre"))),
        title=draw(st.sampled_from(("Horn", "Left TYRE"))),
        words=draw(st.sampled_from(_WORDS)),
        severity=draw(st.sampled_from(Severity)),
        state=DefectState.FOUND if closed is None else DefectState.CHECKED,
        holding=closed is None and draw(st.booleans()),
        found_utc=draw(_times()),
        found_by="J.Doe",
        last_utc=draw(_times()),
        closed_utc=closed,
        sightings=1,
        conflict=draw(st.booleans()),
        heads=("ab" * 32,),
    )
