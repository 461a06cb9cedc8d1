"""The label sheet: what a phone reads from it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import segno

from voicecheck.clock import ManualClock
from voicecheck.errors import UsageError
from voicecheck.report.unit_labels import form_address, label_sheet
from voicecheck.store.database import Database
from voicecheck.store.fleet import open_fleet
from voicecheck.store.fleet_list import keep_fleet_list, read_fleet_list


def test_the_address_leads_to_the_form_of_the_unit() -> None:
    """Names are quoted, so that a space or a dot breaks nothing."""
    address = form_address("https://fleet.example:8765/", "L 12&x")

    assert address == "https://fleet.example:8765/walks/new?unit=L%2012%26x"


@pytest.mark.parametrize("address", ["fleet.example", "ftp://x", "javascript:1", ""])
def test_what_is_no_address_is_refused(address: str) -> None:
    """A label lasts for years: a wrong one is not printed."""
    with pytest.raises(UsageError, match="no address"):
        form_address(address, "L-12")


def test_each_unit_has_its_symbol(tmp_path: Path) -> None:
    """Drawn from the address with error correction level Q (ISO/IEC 18004)."""
    with Database.open(tmp_path / "x.sqlite3") as store:
        lines = ["unit,checklist,title", "L-1,wheel-loader,<b>One</b>", "L-2,dozer,"]
        keep_fleet_list(store, read_fleet_list(lines), ManualClock().now())
    with open_fleet(tmp_path / "x.sqlite3") as fleet:
        page = label_sheet("https://fleet.example", fleet.units())

    code = segno.make(form_address("https://fleet.example", "L-1"), error="q")
    assert code.error == "Q"
    drawn = re.findall(r'<path [^>]*d="([^"]+)"', page)
    assert len(drawn) == 2
    assert drawn[0] != drawn[1]
    assert "&lt;b&gt;One" in page
    assert "<b>" not in page
