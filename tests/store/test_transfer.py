"""Push and import: nothing lost, nothing doubled, whatever is cut when."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event as sql_event
from sqlalchemy import update

from voicecheck.clock import ManualClock
from voicecheck.defects.events import RepairDone, RepairStarted
from voicecheck.form.filling import fill
from voicecheck.store import tables
from voicecheck.store.database_far_end import DatabaseFarEnd
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.store.journal import SqlJournal, open_journal
from voicecheck.store.session import WalkSession
from voicecheck.store.transfer import transfer
from voicecheck.store.workshop import Workshop
from voicecheck.testing.pushing import check_whole, walked, whole
from voicecheck.testing.small_checklist import good_answers, small_checklist


@pytest.fixture
def device(tmp_path: Path) -> Path:
    """Give the folder of a device with two walks, one with defects."""
    folder, clock = tmp_path / "device", ManualClock()
    walked(folder, "L-12", clock=clock)
    walked(folder, "L-13", bad=True, clock=clock)
    return folder


@pytest.fixture
def near(device: Path) -> Iterator[SqlFleet]:
    """Give the store of the device."""
    with open_fleet(device / "journal.sqlite3", folder=device) as opened:
        yield opened


def test_everything_comes_over_once(near: SqlFleet, tmp_path: Path) -> None:
    """The far end holds the same; doing it again changes nothing."""
    with open_fleet(tmp_path / "far.sqlite3") as far:
        first = transfer(near, DatabaseFarEnd(far))
        second = transfer(near, DatabaseFarEnd(far))

        assert first.ok
        assert (first.walks, first.records, first.defects) == (2, 2, 5)
        assert (second.walks, second.entries, second.defects) == (0, 0, 0)
        assert whole(far) == whole(near)
    check_whole(tmp_path / "far.sqlite3")


class Cut(Exception):
    """The connection was cut."""


def cut_at(store: SqlFleet, number: int) -> None:
    """Let a store fail before its statement of that number, from now on."""
    left = [number]

    @sql_event.listens_for(store._engine, "before_cursor_execute")
    def _count(*_: Any) -> None:
        left[0] -= 1
        if left[0] < 0:
            raise Cut


def test_cut_between_any_two_statements(near: SqlFleet, tmp_path: Path) -> None:
    """After each cut the far end is whole; the next push brings the rest."""
    path = tmp_path / "far.sqlite3"
    wanted = whole(near)
    open_fleet(path).close()
    cuts = 0
    while True:
        with open_fleet(path) as far:
            cut_at(far, 3 + 5 * cuts)  # each try comes a little further
            try:
                transfer(near, DatabaseFarEnd(far))
                break
            except Cut:
                cuts += 1
        check_whole(path)

    assert cuts > 3
    with open_fleet(path) as far:
        assert whole(far) == wanted


def test_each_single_cut_leaves_a_whole_far_end(near: SqlFleet, tmp_path: Path) -> None:
    """Statement by statement from an empty store, then a whole push."""
    wanted = whole(near)
    number = 0
    while True:
        path = tmp_path / f"far{number}.sqlite3"
        open_fleet(path).close()
        with open_fleet(path) as far:
            cut_at(far, number)
            try:
                transfer(near, DatabaseFarEnd(far))
                break
            except Cut:
                pass
        check_whole(path)
        with open_fleet(path) as far:
            transfer(near, DatabaseFarEnd(far))
            assert whole(far) == wanted
        number += 29  # the whole set is as slow as it is long

    assert number > 20


def test_two_devices_and_one_unit(tmp_path: Path) -> None:
    """Both walks and both defects are kept, and the conflict is shown."""
    far_path = tmp_path / "far.sqlite3"
    ids = []
    for name in ("one", "two"):
        folder = tmp_path / name
        ids.append(walked(folder, "L-12", bad=True, clock=ManualClock()))
        with (
            open_fleet(folder / "journal.sqlite3", folder=folder) as near,
            open_fleet(far_path) as far,
        ):
            assert transfer(near, DatabaseFarEnd(far)).ok

    with open_fleet(far_path) as far:
        assert sorted(ids) == sorted(walk.walk_id for walk in far.walks())
        assert len(far.open_defects("L-12")) == 10
        words = {one.words for one in far.conflicts("L-12")}
        assert "two walks were under way at the same time" in words
        assert any("two defects are open at one checkpoint" in one for one in words)
    check_whole(far_path)


def test_one_defect_carried_on_in_two_places(device: Path, tmp_path: Path) -> None:
    """Both sides are kept; the fork is shown until somebody writes who knows both."""
    path, far_path = device / "journal.sqlite3", tmp_path / "far.sqlite3"
    at = ManualClock().now()
    with open_fleet(path, folder=device) as near, open_fleet(far_path) as far:
        transfer(near, DatabaseFarEnd(far))
        defect_id = near.open_defects()[0].defect_id
        with Workshop.open(path) as here, Workshop.open(far_path) as there:
            here.record(defect_id, RepairStarted(note="here"), at=at, by="M.Roe")
            there.record(defect_id, RepairStarted(note="there"), at=at, by="A.Poe")
            transfer(near, DatabaseFarEnd(far))

            assert far.defect(defect_id).defect.conflict
            assert len(far.defect(defect_id).story) == 3
            there.record(defect_id, RepairDone(done="hose"), at=at, by="A.Poe")
            assert not far.defect(defect_id).defect.conflict
        transfer(far, DatabaseFarEnd(near))
        assert near.defect(defect_id) == far.defect(defect_id)


def test_an_altered_walk_does_not_go_out(
    near: SqlFleet, device: Path, tmp_path: Path
) -> None:
    """It is named; everything else is brought over."""
    walk_id = near.walks()[0].walk_id
    with near.writing() as connection:
        connection.execute(
            update(tables.entries)
            .where(tables.entries.c.walk_id == walk_id, tables.entries.c.seq == 3)
            .values(at_utc="2020-01-01T00:00:00.000Z")
        )

    with open_fleet(tmp_path / "far.sqlite3") as far:
        result = transfer(near, DatabaseFarEnd(far))

        assert not result.ok
        assert "chain does not hold here" in result.problems[0]
        assert walk_id not in {walk.walk_id for walk in far.walks()}
        assert result.walks == 1


def test_an_unfinished_walk_goes_on_later(tmp_path: Path) -> None:
    """What is there of it is brought over, and the rest the next time."""
    folder, clock = tmp_path / "device", ManualClock()
    path = folder / "journal.sqlite3"
    journal: SqlJournal
    with open_journal(path) as journal, open_fleet(tmp_path / "far.sqlite3") as far:
        session = WalkSession.start(
            journal, clock, small_checklist(), unit="L-12", folder=folder
        )
        with open_fleet(path, folder=folder) as near:
            first = transfer(near, DatabaseFarEnd(far))
            fill(session, good_answers())
            session.finish()
            second = transfer(near, DatabaseFarEnd(far))
            assert whole(far) == whole(near)

    assert (first.walks, first.records) == (1, 0)
    assert (second.walks, second.records) == (1, 1)


@pytest.mark.database
def test_a_push_to_a_server(near: SqlFleet, postgres_url: str) -> None:
    """The same on PostgreSQL, and from there back into a file."""
    with open_fleet(postgres_url) as far:
        assert transfer(near, DatabaseFarEnd(far)).ok
        assert transfer(near, DatabaseFarEnd(far)).walks == 0
        assert whole(far) == whole(near)
        assert [one.words for one in far.units()] == ["may work", "out of service"]
