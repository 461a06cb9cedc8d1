"""What pages and reports read: units, defects, walks, records, fleet list."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.clock import ManualClock
from voicecheck.errors import DefectError, JournalDamaged, RecordNotFound, UsageError
from voicecheck.form.filling import fill
from voicecheck.round.answers import Severity
from voicecheck.store.database import Database
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.store.fleet_list import keep_fleet_list, read_fleet_list
from voicecheck.store.journal import open_journal
from voicecheck.store.session import WalkSession
from voicecheck.store.unit_status import UnitState
from voicecheck.store.workshop import Workshop
from voicecheck.testing.small_checklist import (
    bad_answers,
    good_answers,
    small_checklist,
)


def walked(
    path: Path, unit: str, answers: dict[str, object] | None, mode: str = "typed"
) -> str:
    """Walk round a unit; without answers the walk is left. Return its id."""
    with open_journal(path) as journal:
        session = WalkSession.start(
            journal,
            ManualClock(),
            small_checklist(),
            unit=unit,
            operator="kim",
            mode=mode,
            folder=path.parent,
        )
        if answers is not None:
            fill(session, answers)  # type: ignore[arg-type]
            session.finish()
    return session.walk_id


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Give a store with a good unit, a bad one and one whose walk was left."""
    path = tmp_path / "journal.sqlite3"
    walked(path, "L-1", dict(good_answers()))
    walked(path, "L-2", dict(bad_answers()))
    walked(path, "L-3", None)
    return path


def opened(path: Path) -> SqlFleet:
    """Open the reading side of a store."""
    return open_fleet(path, folder=path.parent)


def test_every_unit_has_its_status_in_words(path: Path) -> None:
    """May work, out of service, not released, not walked yet."""
    with Database.open(path) as store:
        listed = read_fleet_list(["unit,checklist", "L-4,wheel-loader"])
        keep_fleet_list(store, listed, ManualClock().now())

    with opened(path) as fleet:
        units = {one.unit: one for one in fleet.units()}

    assert [one.state for one in units.values()] == [
        UnitState.MAY_WORK,
        UnitState.OUT_OF_SERVICE,
        UnitState.NOT_RELEASED,
        UnitState.NOT_WALKED,
    ]
    assert units["L-2"].words == "out of service"
    assert units["L-2"].open_defects == 5
    assert units["L-2"].worst is Severity.CRITICAL
    assert units["L-1"].hour_meter_h == 4527.3


def test_open_defects_stand_by_severity(path: Path) -> None:
    """The worst first."""
    with opened(path) as fleet:
        ranks = [one.severity.rank for one in fleet.open_defects()]

        assert ranks == sorted(ranks, reverse=True)
        assert fleet.open_defects("L-1") == ()


def test_walks_by_unit_and_time(path: Path) -> None:
    """From a moment on, and before another one."""
    with opened(path) as fleet:
        (walk,) = fleet.walks("L-2")

        assert fleet.walks("L-2", since_utc=walk.started_utc) == (walk,)
        assert fleet.walks("L-2", until_utc=walk.started_utc) == ()
        assert len(fleet.walks(limit=2)) == 2
        assert len(fleet.walks(offset=2)) == 1
        assert fleet.record(walk.walk_id)["content"]["unit"] == "L-2"


def test_unfinished_walks_and_counts(path: Path) -> None:
    """What a page of one unit needs, without reading all walks."""
    with opened(path) as fleet:
        [left] = fleet.walks(unfinished=True)
        assert left.unit == "L-3"
        assert fleet.walk(left.walk_id) == left
        assert (fleet.count_walks(), fleet.count_walks("L-3")) == (3, 1)
        assert fleet.walks(unit="L-1", unfinished=True) == ()


def test_what_is_not_there_says_so(path: Path) -> None:
    """A walk, a record, a defect."""
    with opened(path) as fleet:
        (left,) = fleet.walks("L-3")
        for ask in (fleet.record, fleet.defect, fleet.walk):
            with pytest.raises(RecordNotFound):
                ask("nothing")
        with pytest.raises(RecordNotFound, match="no record yet"):
            fleet.record(left.walk_id)


def test_the_kept_text_of_a_record_is_the_file(path: Path) -> None:
    """Byte for byte; altered, it is refused."""
    with opened(path) as fleet:
        (walk,) = fleet.walks("L-2")
        file = path.parent / "records" / f"{walk.walk_id}.json"
        assert fleet.record_bytes(walk.walk_id) == file.read_bytes()

        with fleet.writing() as connection:
            connection.exec_driver_sql("UPDATE record_texts SET text = '{}'")
        with pytest.raises(JournalDamaged, match="altered"):
            fleet.record(walk.walk_id)


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE defects SET holding = 0",
        "UPDATE defects SET severity = 'minor', severity_rank = 0",
        "UPDATE defects SET closed_utc = found_utc",
        "UPDATE defect_events SET payload = replace(payload, 'critical', 'minor')",
        "UPDATE defect_events SET at_utc = '2020-01-01T00:00:00.000Z'",
        "DELETE FROM defect_events",
    ],
)
def test_an_altered_defect_is_noticed(path: Path, sql: str) -> None:
    """The list of defects and their events are held against each other."""
    with opened(path) as fleet:
        defect = fleet.open_defects("L-2")[0]
        with fleet.writing() as connection:
            connection.exec_driver_sql(sql)

        with pytest.raises(JournalDamaged):
            fleet.defect(defect.defect_id)


def test_a_simulated_walk_opens_no_defect(tmp_path: Path) -> None:
    """A demo must not put a machine out of service."""
    path = tmp_path / "journal.sqlite3"
    walked(path, "D-1", dict(bad_answers()), mode="simulated")

    with opened(path) as fleet:
        assert fleet.open_defects() == ()


def test_a_defect_that_is_still_there_is_joined(tmp_path: Path) -> None:
    """The second walk adds sightings; it opens nothing new."""
    path = tmp_path / "journal.sqlite3"
    mild = {**good_answers(), "engine_oil": bad_answers()["engine_oil"]}
    walked(path, "L-1", dict(mild))
    walked(path, "L-1", dict(mild))

    with opened(path) as fleet:
        (defect,) = fleet.open_defects("L-1")
        assert defect.sightings == 2
        assert [one.seq for one in fleet.defect(defect.defect_id).story] == [1, 2]


def test_a_unit_in_service_has_nothing_to_release(path: Path) -> None:
    """Nobody can release it in advance."""
    with Workshop.open(path) as workshop, pytest.raises(DefectError, match="nothing"):
        workshop.release("L-1", at=ManualClock().now(), by="C.Poe")


@pytest.mark.parametrize(
    ("lines", "message"),
    [
        (["unit"], "checklist missing"),
        (["unit,checklist,colour"], "colour"),
        (["unit,checklist", "L-1,"], "line 2: L-1 has no checklist"),
        (["unit,checklist", "../x,wheel-loader"], "line 2"),
        (["unit,checklist", "L-1,a", "L-1,a"], "line 3: L-1 stands there twice"),
        (["unit,checklist,hour_meter_h", "L-1,a,many"], "no hour meter"),
        (["unit,checklist,hour_meter_h", "L-1,a,nan"], "no hour meter"),
        (["unit,checklist", "L-1,a,b"], "more fields"),
        (["unit,checklist", '"L-1,a'], "no CSV"),
    ],
)
def test_a_fleet_list_that_is_wrong_names_the_line(
    lines: list[str], message: str
) -> None:
    """Nothing of it is taken in."""
    with pytest.raises(UsageError, match=message):
        read_fleet_list(lines)
