"""What came by push is shown at the far end like what was made there."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from voicecheck.store.database_far_end import DatabaseFarEnd
from voicecheck.store.fleet import open_fleet
from voicecheck.store.transfer import transfer
from voicecheck.testing.browsing import Browsing
from voicecheck.testing.pushing import JOURNAL, walked

if TYPE_CHECKING:
    from conftest import Place


@pytest.fixture
def pushed(place: Place, tmp_path: Path) -> list[str]:
    """Push one unit's walks from two devices; return the ids of the walks."""
    ids = []
    for name in ("J.Doe", "M.Roe"):
        device = tmp_path / name
        ids.append(walked(device, "L-12", bad=True, operator=name))
        with open_fleet(device / JOURNAL, folder=device) as near:
            assert transfer(near, DatabaseFarEnd(place.fleet)).ok
    return ids


def test_records_are_shown_and_exported(
    place: Place, visitor: Browsing, pushed: list[str], tmp_path: Path
) -> None:
    """Without their files: page, PDF, and the very bytes that the device wrote."""
    for walk_id, operator in zip(pushed, ("J.Doe", "M.Roe"), strict=True):
        assert not (place.home / "records" / f"{walk_id}.json").exists()
        assert operator in visitor.open(f"/records/{walk_id}")
        assert visitor.status == 200
        answer = visitor.client.get(f"/records/{walk_id}/export/json")
        file = tmp_path / operator / "records" / f"{walk_id}.json"
        assert answer.content == file.read_bytes()
        assert json.loads(answer.content)["record_id"] == walk_id
        pdf = visitor.client.get(f"/records/{walk_id}/export/pdf")
        assert pdf.content.startswith(b"%PDF")


def test_an_altered_record_is_not_shown(
    place: Place, visitor: Browsing, pushed: list[str]
) -> None:
    """Its text in the database is held against its hash."""
    with place.fleet.writing() as connection:
        connection.exec_driver_sql(
            "UPDATE record_texts SET text = replace(text, 'J.Doe', 'M.Roe')"
        )

    visitor.open(f"/records/{pushed[0]}")

    assert visitor.status == 409
    assert "altered" in visitor.text


def test_two_devices_on_one_unit_are_shown(
    visitor: Browsing, pushed: list[str]
) -> None:
    """The page of the unit names the conflict, with ways to both sides."""
    page = visitor.open("/units/L-12")

    assert "Two devices in each other" in page
    assert "Two walks were under way at the same time" in page
    assert "Two defects are open at one point: " in page
    for walk_id in pushed:
        assert f'href="/live/{walk_id}"' in page
        visitor.open(f"/live/{walk_id}")
        assert visitor.status == 200


def test_without_a_conflict_none_is_shown(
    place: Place, visitor: Browsing, tmp_path: Path
) -> None:
    """One walk of one device."""
    device = tmp_path / "device"
    walked(device, "L-13")
    with open_fleet(device / JOURNAL, folder=device) as near:
        transfer(near, DatabaseFarEnd(place.fleet))

    page = visitor.open("/units/L-13")

    assert visitor.status == 200
    assert "Two devices" not in page


def test_no_push_unless_asked_for(visitor: Browsing) -> None:
    """There is no such address on a server that takes none."""
    for name in ("have", "parcels", "conflicts", "openapi.json"):
        answer = visitor.client.post(f"/push/{name}", json={})
        assert answer.status_code in {404, 405}
