"""Loading a period at once gives what asking for each record and defect gives."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import update

from voicecheck.bench.store_filling import fill
from voicecheck.bench.store_rows import FIRST_DAY, Shape
from voicecheck.clock import utc_text
from voicecheck.defects.events import RepairDone
from voicecheck.errors import JournalDamaged
from voicecheck.report.period.loading import load_defects, load_walks
from voicecheck.report.period.walked import walked
from voicecheck.statistics.shifts import EARLY
from voicecheck.store import tables
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.testing.small_checklist import small_checklist

SHAPE = Shape(walks=120, units=5)
START, END = FIRST_DAY + timedelta(days=2), FIRST_DAY + timedelta(days=9)


@pytest.fixture(
    scope="module",
    params=["sqlite", pytest.param("postgres", marks=pytest.mark.database)],
)
def fleet(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[SqlFleet]:
    """Give twelve days of a fleet in each database."""
    where: Path | str = tmp_path_factory.mktemp("store") / "fleet.sqlite3"
    if request.param == "postgres":
        where = request.getfixturevalue("postgres_url")
    with open_fleet(where) as opened:
        fill(opened, SHAPE, checklist=small_checklist())
        yield opened


@pytest.mark.parametrize("unit", [None, "L-2"])
def test_walks_are_those_read_one_by_one(fleet: SqlFleet, unit: str | None) -> None:
    """Only finished ones, begun from half an hour before the period on."""
    since, until = utc_text(START - EARLY), utc_text(END - EARLY)

    found = load_walks(fleet, unit, START, END)

    assert found == [
        walked(fleet.record(row.walk_id))
        for row in fleet.walks(unit, since, until)
        if row.record is not None
    ]
    assert len(found) > 10


def test_what_was_seen_is_left_out_where_nobody_asks(fleet: SqlFleet) -> None:
    """Everything else is the same, and the words of points are kept once."""
    whole = load_walks(fleet, None, START, END)

    found = load_walks(fleet, None, START, END, looks=False)

    assert found == [replace(one, seen=()) for one in whole]
    assert len({id(one.titles) for one in found}) == 1


@pytest.mark.parametrize("unit", [None, "L-2"])
def test_defects_are_those_read_one_by_one(fleet: SqlFleet, unit: str | None) -> None:
    """Found within the period, with the moment of the last repair."""
    plain = {}
    for defect in fleet.defects(unit, utc_text(START)):
        if defect.found_utc < utc_text(END):
            done = [
                datetime.fromisoformat(one.at_utc)
                for one in fleet.defect(defect.defect_id).story
                if isinstance(one.event, RepairDone)
            ]
            place = (defect.unit, defect.checkpoint_id, defect.found_utc)
            plain[place] = max(done, default=None)

    found = load_defects(fleet, unit, START, END)

    assert found is not None
    assert {
        (one.unit, one.checkpoint, utc_text(one.opened)): one.repaired for one in found
    } == plain
    assert {one.repaired is None for one in found} >= {False}


def test_a_period_without_defects_has_none(fleet: SqlFleet) -> None:
    """They are then told from the walks."""
    assert load_defects(fleet, "L-99", START, END) is None


def test_what_was_altered_stops_the_report(tmp_path: Path) -> None:
    """A record, or the story of a defect: no figure is made of it."""
    with open_fleet(tmp_path / "fleet.sqlite3") as fleet:
        fill(fleet, Shape(walks=20, units=2), checklist=small_checklist())
        with fleet.writing() as connection:
            connection.execute(update(tables.record_texts).values(text="{}"))
            connection.execute(update(tables.defect_events).values(by="M.Roe"))

        with pytest.raises(JournalDamaged, match="record"):
            load_walks(fleet, None, FIRST_DAY, END)
        with pytest.raises(JournalDamaged, match="altered"):
            load_defects(fleet, None, FIRST_DAY, END)
