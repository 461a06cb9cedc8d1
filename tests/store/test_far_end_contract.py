"""What every far end of a push promises: a database, and a server in front of one."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from sqlalchemy import update
from starlette.testclient import TestClient

from voicecheck.clock import ManualClock, utc_text
from voicecheck.defects.events import RepairStarted
from voicecheck.form.filling import fill
from voicecheck.server.push.routes import Pushes, push_app
from voicecheck.store import packing, rows, tables
from voicecheck.store.database_far_end import DatabaseFarEnd
from voicecheck.store.far_end import (
    Asked,
    ChecklistParcel,
    DefectParcel,
    FarEnd,
    Fate,
    Have,
    UnitParcel,
    WalkParcel,
)
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.store.http_far_end import HttpFarEnd
from voicecheck.store.journal import open_journal
from voicecheck.store.session import WalkSession
from voicecheck.store.transfer import transfer
from voicecheck.store.workshop import Workshop
from voicecheck.testing.pushing import JOURNAL, check_whole, walked, whole
from voicecheck.testing.small_checklist import good_answers, small_checklist

TOKEN = "AAAA-BBBB-CCCC-DDDD"


@dataclass(frozen=True, kw_only=True)
class Yard:
    """A device, and the store that it pushes to by one of the links."""

    device: Path
    near: SqlFleet
    store: SqlFleet
    far: FarEnd


def over_http(store: SqlFleet) -> FarEnd:
    """Return a server in front of a store, in this process."""
    pushes = Pushes(far_end=DatabaseFarEnd(store), tokens=(TOKEN,))
    client = TestClient(push_app(pushes), headers={"authorization": f"Bearer {TOKEN}"})
    return HttpFarEnd(client, place="testserver", wait=lambda _: None)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a device with two walks, and an empty store, to be copied."""
    folder, clock = tmp_path_factory.mktemp("made"), ManualClock()
    walked(folder / "device", "L-12", clock=clock)
    walked(folder / "device", "L-13", bad=True, clock=clock)
    open_fleet(folder / "far.sqlite3").close()
    return folder


@pytest.fixture(params=[DatabaseFarEnd, over_http], ids=["database", "http"])
def yard(request: pytest.FixtureRequest, made: Path, tmp_path: Path) -> Iterator[Yard]:
    """Give a device with two walks, one with defects, and an empty far end."""
    device = tmp_path / "device"
    shutil.copytree(made, tmp_path, dirs_exist_ok=True)
    with ExitStack() as opened:
        near = opened.enter_context(open_fleet(device / JOURNAL, folder=device))
        store = opened.enter_context(open_fleet(tmp_path / "far.sqlite3"))
        yield Yard(device=device, near=near, store=store, far=request.param(store))


def parcel_of(yard: Yard, walk_id: str, *, most: int = 10**9) -> list[WalkParcel]:
    """Return a whole walk of the device as parcels."""
    found = packing.walk_parcels(yard.near, walk_id, Have(), yard.device, most)
    return [one for one in found if isinstance(one, WalkParcel)]


def checklist_of(yard: Yard) -> ChecklistParcel:
    """Return the checklist of the device as a parcel."""
    with yard.near.reading() as connection:
        text = connection.execute(tables.checklists.select()).one().text
    return ChecklistParcel(text=text)


def test_everything_comes_over_once(yard: Yard) -> None:
    """The far end holds the same, byte for byte; again changes nothing."""
    first = transfer(yard.near, yard.far)
    second = transfer(yard.near, yard.far, verify=True)

    assert (first.walks, first.records, first.defects) == (2, 2, 5)
    assert (second.walks, second.entries, second.defects) == (0, 0, 0)
    assert second.unchanged == 7
    assert first.ok
    assert second.ok
    assert whole(yard.store) == whole(yard.near)


@pytest.mark.parametrize("characters", [1, 2_000], ids=["one by one", "small"])
def test_a_walk_comes_over_in_pieces(yard: Yard, characters: int) -> None:
    """Pieces of one entry, or of a few, make the same walk; it is counted once."""
    result = transfer(yard.near, yard.far, batch_characters=characters)

    assert (result.walks, result.records, result.defects) == (2, 2, 5)
    assert result.problems == ()
    assert whole(yard.store) == whole(yard.near)


def test_it_tells_what_it_has(yard: Yard) -> None:
    """Heads of what is there; what is not there is left out."""
    transfer(yard.near, yard.far)
    walk = yard.near.walks()[0]
    defect = yard.near.defects()[0]
    assert walk.record is not None

    nobody = "00000000-0000-4000-8000-000000000000"
    asked = Asked(
        checklists=("0" * 64,),
        units=("L-12", "L-99"),
        defects=(defect.defect_id, nobody),
        walks=(walk.walk_id, nobody),
        verify=True,
    )
    have = yard.far.have(asked)

    assert have.checklists == frozenset()
    assert have.units == {"L-12"}
    assert have.defects == {defect.defect_id: defect.heads}
    assert set(have.walks) == {walk.walk_id}
    assert have.walks[walk.walk_id].head == walk.head
    assert have.walks[walk.walk_id].file_sha256 == walk.record.file_sha256
    assert have.damaged == {}


def test_verify_finds_what_was_altered_at_the_far_end(yard: Yard) -> None:
    """Heads alone do not show it; asked to verify, the far end names it."""
    transfer(yard.near, yard.far)
    walk_id = yard.store.walks()[0].walk_id
    with yard.store.writing() as connection:
        connection.execute(
            update(tables.entries)
            .where(tables.entries.c.walk_id == walk_id, tables.entries.c.seq == 3)
            .values(at_utc="2020-01-01T00:00:00.000Z")
        )

    assert transfer(yard.near, yard.far).ok
    result = transfer(yard.near, yard.far, verify=True)

    assert len(result.problems) == 1
    assert walk_id in result.problems[0]
    assert "altered" in result.problems[0]


def test_a_far_end_that_has_more_keeps_it(yard: Yard) -> None:
    """An older copy of a device brings nothing, and is no error."""
    folder = yard.device / "other"
    with open_journal(folder / JOURNAL) as journal:
        WalkSession.start(
            journal, ManualClock(), small_checklist(), unit="L-14", folder=folder
        )
        with open_fleet(folder / JOURNAL, folder=folder) as near:
            assert transfer(near, yard.far).walks == 1
    aside = yard.device / "aside.sqlite3"
    with open_fleet(aside) as copy, open_fleet(folder / JOURNAL, folder=folder) as near:
        transfer(near, DatabaseFarEnd(copy))
        with open_journal(folder / JOURNAL) as journal:
            session = WalkSession.resume(
                journal, ManualClock(), small_checklist(), unit="L-14", folder=folder
            )
            fill(session, good_answers())
            session.finish()
        assert transfer(near, yard.far).records == 1

        late = transfer(copy, yard.far)

    assert late.ok
    assert (late.walks, late.unchanged) == (0, 1)


def test_a_walk_that_went_on_in_two_places_stays_as_it_is(yard: Yard) -> None:
    """Neither side is changed, and the push says so each time."""
    clock = ManualClock()
    one, two = yard.device / "one", yard.device / "two"
    with open_journal(one / JOURNAL) as journal:
        session = WalkSession.start(
            journal, clock, small_checklist(), unit="L-15", folder=one
        )
    with (
        open_fleet(one / JOURNAL, folder=one) as first,
        open_fleet(two / JOURNAL, folder=two) as second,
    ):
        transfer(first, DatabaseFarEnd(second))
        for folder, words in ((one, "here"), (two, "there")):
            with open_journal(folder / JOURNAL) as journal:
                session = WalkSession.resume(
                    journal, clock, small_checklist(), unit="L-15", folder=folder
                )
                session.observe("noinput", detail=words)
        assert transfer(first, yard.far).ok
        before = whole(yard.store)

        result = transfer(second, yard.far)

        assert "it went on in two places; both are kept" in result.problems[0]
        assert whole(yard.store) == before
        assert transfer(second, yard.far).problems == result.problems


def test_one_defect_carried_on_in_two_places_is_joined(yard: Yard) -> None:
    """Both sides are kept, and the conflict is told."""
    transfer(yard.near, yard.far)
    at = ManualClock().now()
    defect_id = yard.near.open_defects()[0].defect_id
    with (
        Workshop.open(yard.device / JOURNAL) as here,
        Workshop.open(yard.store.place) as there,
    ):
        here.record(defect_id, RepairStarted(note="here"), at=at, by="M.Roe")
        there.record(defect_id, RepairStarted(note="there"), at=at, by="C.Poe")

    result = transfer(yard.near, yard.far)

    assert result.defects == 1
    assert len(yard.store.defect(defect_id).story) == 3
    (conflict,) = yard.far.conflicts(["L-13"])
    assert conflict.defect_ids == (defect_id,)
    assert yard.far.conflicts(["L-12"]) == ()


def altered(parcel: WalkParcel, **more: object) -> WalkParcel:
    """Return a parcel with another entry in its middle."""
    entries = list(parcel.entries)
    entries[3] = replace(entries[3], **more)
    return replace(parcel, entries=tuple(entries))


@pytest.mark.parametrize(
    "more",
    [
        {"payload": '{"event":{"type":"walk_paused","cause":"x"},"how":null}'},
        {"payload": "[" * 100_000},
        {"payload": "{}"},
        {"at_utc": "2020-01-01T00:00:00.000Z"},
        {"kind": "declared"},
    ],
    ids=["payload", "nested", "empty", "time", "kind"],
)
def test_an_altered_entry_is_refused(yard: Yard, more: dict[str, str]) -> None:
    """Nothing of the walk is kept; what came along in the batch is."""
    good, bad = (parcel_of(yard, walk.walk_id)[0] for walk in yard.near.walks())

    receipts = yard.far.take([checklist_of(yard), altered(bad, **more), good])

    assert [one.fate for one in receipts] == [Fate.KEPT, Fate.REFUSED, Fate.KEPT]
    assert receipts[1].why != ""
    assert [walk.walk_id for walk in yard.store.walks()] == [good.walk.walk_id]
    check_whole(yard.store.place)


def test_a_gap_is_refused(yard: Yard) -> None:
    """The second piece without the first."""
    pieces = parcel_of(yard, yard.near.walks()[0].walk_id, most=1)

    (receipt,) = yard.far.take([pieces[2]])

    assert receipt.fate is Fate.REFUSED
    assert "missing" in receipt.why
    assert yard.store.walks() == ()


def test_pieces_again_and_out_of_order_do_no_harm(yard: Yard) -> None:
    """A piece that comes twice, or late, changes nothing."""
    pieces = parcel_of(yard, yard.near.walks()[0].walk_id, most=1)
    checklist = checklist_of(yard)

    first = yard.far.take([checklist, *pieces[:4], pieces[1]])
    again = yard.far.take([pieces[0], *pieces[2:], pieces[3], pieces[-1]])

    kept, unchanged = Fate.KEPT, Fate.UNCHANGED
    assert [one.fate for one in first] == [kept] * 5 + [unchanged]
    assert {one.fate for one in again[:3]} == {unchanged}
    assert [one.fate for one in again[-2:]] == [unchanged, unchanged]
    assert sum(one.entries for one in (*first, *again)) == len(pieces)
    check_whole(yard.store.place)


def test_a_record_that_says_otherwise_than_its_journal_is_refused(yard: Yard) -> None:
    """Whoever knows the token still cannot turn a defect into good."""
    bad = next(walk for walk in yard.near.walks() if walk.unit == "L-13")
    (parcel,) = parcel_of(yard, bad.walk_id)
    record = parcel.walk.record
    assert record is not None
    lie = replace(record, outcome="may_work")

    receipts = yard.far.take(
        [checklist_of(yard), replace(parcel, walk=replace(parcel.walk, record=lie))]
    )

    assert receipts[1].fate is Fate.REFUSED
    assert "another end or decision" in receipts[1].why
    assert yard.store.walks() == ()


def test_a_walk_without_its_checklist_is_refused(yard: Yard) -> None:
    """It could not be walked again at the far end, so nobody could check it."""
    (parcel,) = parcel_of(yard, yard.near.walks()[0].walk_id)

    (receipt,) = yard.far.take([parcel])

    assert receipt.fate is Fate.REFUSED
    assert "checklist" in receipt.why


def test_an_altered_event_of_a_defect_is_refused(yard: Yard) -> None:
    """Its hash does not fit."""
    found = yard.near.defect(yard.near.open_defects()[0].defect_id)
    first = replace(found.story[0], by="nobody")
    parcel = DefectParcel(defect_id=found.defect.defect_id, story=(first,))

    (receipt,) = yard.far.take([parcel])

    assert receipt.fate is Fate.REFUSED
    assert "altered" in receipt.why
    assert yard.store.defects() == ()


@pytest.mark.parametrize("name", ["", "../x", "a\0b", "x" * 65, "<b>"])
def test_a_unit_with_an_impossible_name_is_refused(yard: Yard, name: str) -> None:
    """By the device itself or by the far end, and never with an error of a database."""
    parcel = UnitParcel(
        unit=name,
        checklist="wheel-loader",
        title="",
        place="",
        hour_meter_h=None,
        hour_meter_utc=None,
    )

    (receipt,) = yard.far.take([parcel])

    assert receipt.fate is Fate.REFUSED
    assert yard.store.units() == ()


def test_what_was_thrown_away_does_not_come_back(yard: Yard) -> None:
    """The far end's rules of keeping took it out; the device may still have it."""
    transfer(yard.near, yard.far)
    walk = next(walk for walk in yard.store.walks() if walk.unit == "L-12")
    gone = {
        "walk_id": walk.walk_id,
        "unit": walk.unit,
        "started_utc": walk.started_utc,
        "head_sha256": walk.head.sha256,
        "purged_utc": utc_text(ManualClock().now()),
        "reason": "old",
    }
    with yard.store.writing() as connection:
        for table, key in (
            (tables.record_texts, "record_id"),
            (tables.records, "record_id"),
            (tables.entries, "walk_id"),
            (tables.walks, "walk_id"),
        ):
            connection.execute(table.delete().where(table.c[key] == walk.walk_id))
        rows.insert_missing(connection, tables.purged, [gone])

    result = transfer(yard.near, yard.far)

    assert result.ok
    assert [walk.unit for walk in yard.store.walks()] == ["L-13"]
