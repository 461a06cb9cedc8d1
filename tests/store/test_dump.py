"""A whole store as lines, and back: byte for byte, or not at all."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from pathlib import Path

import jsonschema
import pytest

from voicecheck.clock import ManualClock
from voicecheck.defects.events import RepairChecked, RepairDone, RepairStarted
from voicecheck.errors import UsageError
from voicecheck.store import dump, rows, tables
from voicecheck.store.database_far_end import DatabaseFarEnd
from voicecheck.store.dump import import_lines, line_schema, schema_text
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.store.transfer import transfer
from voicecheck.store.workshop import Workshop
from voicecheck.testing.pushing import JOURNAL, check_whole, walked, whole


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a store with everything: pushed walks, stories, a unit, a purged walk."""
    folder, clock = tmp_path_factory.mktemp("made"), ManualClock()
    device = folder / "device"
    walked(device, "L-12", bad=True, clock=clock)
    walked(folder, "L-12", bad=True, operator="M.Roe", clock=ManualClock())
    walked(folder, "L-13", clock=clock)
    with (
        open_fleet(device / JOURNAL, folder=device) as near,
        open_fleet(folder / JOURNAL, folder=folder) as store,
        Workshop.open(folder / JOURNAL) as workshop,
    ):
        assert transfer(near, DatabaseFarEnd(store)).ok
        defect_id = store.open_defects("L-12")[0].defect_id
        for event in (
            RepairStarted(note="in the shop"),
            RepairDone(done="new hose", parts="hose 12 mm", hours_h=1.5),
            RepairChecked(good=True),
        ):
            workshop.record(defect_id, event, at=clock.now(), by="C.Poe")
        with store.writing() as connection:
            rows.insert_missing(connection, tables.units, [LISTED])
            rows.insert_missing(connection, tables.purged, [GONE])
    return folder


LISTED = {
    "unit": "T-3",
    "checklist": "track-dozer",
    "title": "도저 “old”",
    "place": "Stonefold Quarry,\nlower bench",
    "hour_meter_h": 10234.1,
    "hour_meter_utc": "2026-01-05T06:00:00.000Z",
}
GONE = {
    "walk_id": "00000000-0000-4000-8000-000000000000",
    "unit": "L-12",
    "started_utc": "2020-01-05T06:00:00.000Z",
    "head_sha256": "0" * 64,
    "purged_utc": "2026-01-05T06:00:00.000Z",
    "reason": "older than the policy asks for",
}


@pytest.fixture
def near(made: Path) -> Iterator[SqlFleet]:
    """Give that store; it is only read."""
    with open_fleet(made / JOURNAL, folder=made) as opened:
        yield opened


def test_every_table_is_in_an_export() -> None:
    """A new table must be exported, or stand here with a reason."""
    left_out = {"journal_format"}  # which form the tables have, not what they hold

    assert {table.name for table in dump.TABLES} | left_out == set(
        tables.metadata.tables
    )


def test_every_table_of_this_store_holds_something(near: SqlFleet) -> None:
    """So that the round trips below speak of all of them."""
    lines = [json.loads(line) for line in whole(near).splitlines()]

    assert {line["table"] for line in lines if "table" in line} == {
        table.name for table in dump.TABLES
    }


@pytest.mark.parametrize("first", ["empty", "half"])
def test_an_export_comes_back_as_it_was(
    near: SqlFleet, tmp_path: Path, first: str
) -> None:
    """Byte for byte, also beside a part of it; a second time changes nothing."""
    data = whole(near)

    with open_fleet(tmp_path / "again.sqlite3") as again:
        if first == "half":
            with open_fleet(Path(near.place).parent / "device" / JOURNAL) as device:
                transfer(device, DatabaseFarEnd(again))
        assert import_lines(io.BytesIO(data), again).ok
        assert import_lines(io.BytesIO(data), again).walks == 0
        assert whole(again) == data


@pytest.mark.database
def test_from_a_file_to_postgresql_and_back(
    near: SqlFleet, tmp_path: Path, postgres_url: str
) -> None:
    """Both databases give the same bytes for the same store."""
    data = whole(near)

    with open_fleet(postgres_url) as server, open_fleet(tmp_path / "b.sqlite3") as file:
        assert import_lines(io.BytesIO(data), server).ok
        exported = whole(server)
        assert import_lines(io.BytesIO(exported), file).ok
        assert exported == data
        assert whole(file) == data
    check_whole(postgres_url)


def test_every_line_fits_the_schema(near: SqlFleet) -> None:
    """Checked with a validator that is not ours (jsonschema)."""
    validator = jsonschema.Draft202012Validator(line_schema())

    for line in whole(near).splitlines():
        validator.validate(json.loads(line))


def test_the_schema_refuses_what_is_no_line(near: SqlFleet) -> None:
    """Another table, a column more or less, another type."""
    validator = jsonschema.Draft202012Validator(line_schema())
    line = next(
        data
        for data in map(json.loads, whole(near).splitlines())
        if data.get("table") == "walks"
    )
    row = line["row"]

    assert validator.is_valid(line)
    for wrong in (
        {**line, "table": "people"},
        {**line, "more": 1},
        {**line, "row": {**row, "more": 1}},
        {**line, "row": {**row, "head_seq": "7"}},
        {**line, "row": {key: row[key] for key in list(row)[1:]}},
    ):
        assert not validator.is_valid(wrong)


def test_the_published_schema_is_current() -> None:
    """When this fails: python -m voicecheck.store.dump"""
    file = Path(dump.__file__).with_name(dump.SCHEMA_NAME)

    assert file.read_text("utf-8") == schema_text()
    jsonschema.Draft202012Validator.check_schema(line_schema())


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9])
def test_a_cut_export_is_refused(near: SqlFleet, tmp_path: Path, share: float) -> None:
    """Nothing of it is imported."""
    lines = whole(near).splitlines(keepends=True)

    with open_fleet(tmp_path / "again.sqlite3") as again:
        with pytest.raises(UsageError, match="Nothing was imported"):
            import_lines(lines[: int(len(lines) * share)], again)
        assert again.walks() == ()


def test_an_altered_export_is_refused(near: SqlFleet, tmp_path: Path) -> None:
    """One letter elsewhere, and the hash of the last line does not fit."""
    data = whole(near).replace(b'"operator": "kim"', b'"operator": "kin"', 1)

    with (
        open_fleet(tmp_path / "again.sqlite3") as again,
        pytest.raises(UsageError, match="altered"),
    ):
        import_lines(io.BytesIO(data), again)
