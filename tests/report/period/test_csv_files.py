"""Files that a user hands to a report of a period."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from voicecheck.errors import UsageError
from voicecheck.report.period import csv_files


def file(folder: Path, text: str) -> Path:
    """Return a file with this text."""
    path = folder / "given.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_shifts_with_offset_are_read(tmp_path: Path) -> None:
    """06:00 in Seoul is 21:00 UTC of the day before."""
    text = "unit,start,end\nL-12,2026-10-05T06:00+09:00,2026-10-05T14:00+09:00\n"

    (shift,) = csv_files.shift_plan(file(tmp_path, text))

    assert shift.start == datetime(2026, 10, 4, 21, tzinfo=UTC)


def test_temperatures_and_fluids_are_read(tmp_path: Path) -> None:
    """With a byte order mark, as spreadsheets write it."""
    air = file(tmp_path, "\ufeffdate,air_c\n2026-10-01,-4.5\n")
    assert csv_files.temperatures(air) == {date(2026, 10, 1): -4.5}

    oil = file(tmp_path, "date,unit,fluid,litres\n2026-10-01,L-12,engine oil,2.5\n")
    (added,) = csv_files.added(oil)
    assert (added.unit, added.fluid, added.litres) == ("L-12", "engine oil", 2.5)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("date,air\n", "missing: air_c"),
        ("", "missing: date, air_c"),
        ("date,air_c\n2026-10-01,cold\n", "line 2"),
        ("date,air_c\n2026-10-01,nan\n", "line 2"),
        ("date,air_c\n1 October,3\n", "line 2"),
        ("date,air_c\n2026-10-01\n", "line 2"),
    ],
)
def test_a_wrong_file_is_refused_with_its_line(
    tmp_path: Path, text: str, says: str
) -> None:
    """The error names the file and what is wrong in it."""
    with pytest.raises(UsageError, match=rf"given\.csv.*{says}"):
        csv_files.temperatures(file(tmp_path, text))


def test_a_shift_that_ends_before_it_begins_is_refused(tmp_path: Path) -> None:
    """A mistake in the plan is found at once."""
    text = "unit,start,end\nL-12,2026-10-05T06:00Z,2026-10-05T05:00Z\n"

    with pytest.raises(UsageError, match="ends before it begins"):
        csv_files.shift_plan(file(tmp_path, text))


def test_unknown_zones_and_times_are_refused() -> None:
    """With an example of a right one."""
    with pytest.raises(UsageError, match="Asia/Seoul"):
        csv_files.zone("Nowhere/Land")
    with pytest.raises(UsageError, match="06:00"):
        csv_files.time_of_day("six")
