"""A record as CSV: fixed columns, and nothing that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import pytest

from voicecheck.clock import ManualClock
from voicecheck.record.csv_text import COLUMNS, to_csv
from voicecheck.record.document import record_document
from voicecheck.round import events as ev
from voicecheck.store.session import WalkSession
from voicecheck.testing.filling import fill
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import bad_answers, small_checklist

HOW = ev.How(
    mode="spoken", confirmed_by="explicit", words=("leak", "fuel"), confidence=0.5
)


@pytest.fixture
def document(tmp_path: Path) -> dict[str, Any]:
    """Give the record of a walk with an answer taken back."""
    journal = MemoryJournal()
    session = WalkSession.start(
        journal, ManualClock(), small_checklist(), unit="L-12", folder=tmp_path
    )
    hours = ev.AnswerConfirmed(
        checkpoint_id="hour_meter", answer=bad_answers()["hour_meter"]
    )
    session.commit(hours)
    session.commit(ev.AnswerWithdrawn(checkpoint_id="hour_meter"))
    fill(session, bad_answers(), how=HOW)
    entries = journal.entries(session.walk_id)
    return record_document(session.walk_id, session.walk, entries, entries[-1].head)


def rows_of(document: dict[str, Any]) -> list[dict[str, str]]:
    """Read the CSV of a record with the standard library."""
    text = to_csv(document).removeprefix("\ufeff")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_one_line_for_each_answer(document: dict[str, Any]) -> None:
    """Standing answers in the order of the checklist, answers taken back left out."""
    rows = rows_of(document)

    points = [answer["checkpoint"] for answer in document["content"]["answers"]]
    assert [row["checkpoint"] for row in rows] == points


def test_the_columns_are_fixed_and_documented(document: dict[str, Any]) -> None:
    """Every column is named in the module's description, in its order."""
    from voicecheck.record import csv_text

    described = csv_text.__doc__ or ""

    assert tuple(rows_of(document)[0]) == COLUMNS
    assert [name for name in COLUMNS if name not in described] == []


def test_a_leak_in_a_line(document: dict[str, Any]) -> None:
    """A finding carries its kind, severity, consequence and rules."""
    row = next(row for row in rows_of(document) if row["checkpoint"] == "leaks_below")

    assert (row["unit"], row["answer"], row["fluid"]) == ("L-12", "leak", "fuel")
    assert (row["leak_class"], row["severity"]) == ("I", "critical")
    assert (row["consequence"], row["rules"]) == ("out_of_service", "any_fuel_leak")
    assert (row["words"], row["confidence"]) == ("leak, fuel", "0.5")
    assert row["too_fast"] == "false"


def test_a_reading_in_a_line(document: dict[str, Any]) -> None:
    """A reading carries its number, unit and state; the unit of the machine stays."""
    row = next(row for row in rows_of(document) if row["checkpoint"] == "left_tyre")

    assert (row["value"], row["value_unit"]) == ("350.0", "kPa")
    assert (row["reading_state"], row["unit"]) == ("low", "L-12")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_text_is_never_a_formula(document: dict[str, Any], start: str) -> None:
    """A cell that a spreadsheet could run gets an apostrophe in front.

    Characters after OWASP, "CSV Injection".
    """
    document["words"]["prompts"]["horn"] = f"{start}cmd|' /C calc'!A0"
    document["how"][-1]["words"] = [f"{start}1+1"]

    rows = rows_of(document)

    cells = [cell for row in rows for cell in row.values()]
    assert [cell for cell in cells if cell.startswith(start)] == []
    assert f"'{start}cmd|' /C calc'!A0" in cells


def test_numbers_stay_numbers(document: dict[str, Any]) -> None:
    """A reading below zero is a number for a spreadsheet, not text."""
    for answer in document["content"]["answers"]:
        if answer["checkpoint"] == "left_tyre":
            answer["value"] = -5.5

    row = next(row for row in rows_of(document) if row["checkpoint"] == "left_tyre")

    assert row["value"] == "-5.5"


def test_lines_and_marks_are_those_of_the_standard(document: dict[str, Any]) -> None:
    """RFC 4180: CR LF ends a line; a byte order mark says UTF-8."""
    text = to_csv(document)

    assert text.startswith("\ufeffrecord_id,")
    assert text.count("\r\n") == 11
    assert "\n" not in text.replace("\r\n", "")
