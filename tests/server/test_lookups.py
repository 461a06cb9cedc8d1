"""No page reads the list of all walks: it grows for ever."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NoReturn

import pytest

from voicecheck.server.app import create_app
from voicecheck.server.settings import ServerSettings
from voicecheck.store.journal import SqlJournal
from voicecheck.testing.browsing import Browsing

if TYPE_CHECKING:
    from conftest import Place


class Listless(SqlJournal):
    """A journal that does not list walks."""

    def walks(self) -> NoReturn:
        """Fail whoever asks."""
        raise AssertionError("all walks were listed")


@pytest.mark.usefixtures("found")
def test_pages_look_up_what_they_show(place: Place) -> None:
    """Beginning a walk, putting it aside, taking it up, and everything to look at."""
    settings = ServerSettings(
        home=place.home,
        host_names=frozenset({"testserver"}),
        checklists={"short-walk": place.home / "short-walk.toml"},
    )
    with Listless.open(place.home / "store.sqlite3") as journal:
        app = create_app(
            settings, journal, place.clock, fleet=place.fleet, workshop=place.workshop
        )
        visitor = Browsing(app)
        walk_id = visitor.begin("L-2", "short-walk")
        visitor.send(f"/walks/{walk_id}/command", command="pause")
        visitor.open("/walks/new")
        visitor.send("/walks", unit="L-2", checklist="short-walk")
        assert "has an unfinished walk" in visitor.text
        visitor.open(f"/walks/{walk_id}")
        visitor.send(f"/walks/{walk_id}/resume")
        visitor.press(walk_id, "yes")
        assert visitor.status == 200
        record = re.findall(r"/records/[0-9a-f-]{36}", visitor.open("/units/L-1"))[0]
        [defect] = place.fleet.open_defects()

        for where in (
            "/",
            "/units/L-2",
            "/units/L-1/release",
            "/defects",
            f"/defects/{defect.defect_id}",
            "/live",
            f"/live/{walk_id}",
            record,
            f"{record}/export/json",
        ):
            assert visitor.client.get(where).status_code == 200, where
