"""The PDF of one walk, read back as text."""

from __future__ import annotations

import copy
import io
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from voicecheck.checklists.loader import load
from voicecheck.clock import ManualClock
from voicecheck.demo.scenario import seeded_answers
from voicecheck.errors import UsageError
from voicecheck.record.document import record_document
from voicecheck.report.labels_file import labels
from voicecheck.report.pdf.walk import walk_pdf
from voicecheck.store.session import WalkSession
from voicecheck.testing.filling import fill
from voicecheck.testing.memory_journal import MemoryJournal


def record(folder: Path, language: str) -> dict[str, Any]:
    """Return the record of a whole walk round the wheel loader."""
    checklist = load("wheel-loader", language)
    journal = MemoryJournal()
    session = WalkSession.start(
        journal,
        ManualClock(),
        checklist,
        unit="L-12",
        operator="J.Doe",
        folder=folder,
    )
    fill(session, seeded_answers(checklist, 3))
    entries = journal.entries(session.walk_id)
    return record_document(session.walk_id, session.walk, entries, entries[-1].head)


@pytest.fixture(scope="module")
def document(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Give the record of a walk with nine findings."""
    return record(tmp_path_factory.mktemp("walk"), "en")


def read(data: bytes) -> tuple[str, int]:
    """Return the text of a PDF without any blanks, and its number of pages."""
    reader = PdfReader(io.BytesIO(data))
    text = "".join(page.extract_text() for page in reader.pages)
    return "".join(text.split()), len(reader.pages)


def has(text: str, wanted: str) -> bool:
    """Tell whether a text read back holds another; blanks do not count."""
    return "".join(wanted.split()) in text


@pytest.fixture(scope="module")
def english(document: dict[str, Any]) -> str:
    """Give the text of the English PDF."""
    return read(walk_pdf(document))[0]


def test_the_decision_comes_first(english: str) -> None:
    """Title, unit and decision in words, before findings and readings."""
    start = "WalkaroundrecordUnitL-12OutofserviceDonotuse."

    assert english.startswith(start)
    assert english.index("Outofservice") < english.index("Findings(9)")
    assert english.index("Findings(9)") < english.index("Readings")


def test_every_finding_stands_with_severity_class_rule_and_source(
    english: str, document: dict[str, Any]
) -> None:
    """What was found, how bad, which class of leak, which rule, and from where."""
    words, at = document["words"], labels("en")
    findings = document["content"]["findings"]
    assert {"defect", "leak", "level", "could_not_check"} <= {
        finding["answer"] for finding in findings
    }

    for finding in findings:
        assert has(english, words["prompts"][finding["checkpoint"]])
        short = at["outcome_short"][finding["outcome"]]
        assert has(english, f"{at['severity'][finding['severity']]}: {short}")
        if finding["answer"] == "leak":
            assert has(english, at["leak_class"][finding["leak_class"]])
        for rule in finding["rules"]:
            assert has(english, words["rules"][rule])
    for hit in document["content"]["decision"]["rules"]:
        assert has(english, hit["source"])


def test_readings_answers_and_cautions_are_there(
    english: str, document: dict[str, Any]
) -> None:
    """Every reading against its limits, every point asked, every caution."""
    words = document["words"]

    assert has(english, "from 405 to 495 kPa; out of bounds: below 361, above 562 kPa")
    for answer in document["content"]["answers"]:
        assert has(english, words["prompts"][answer["checkpoint"]])
    for caution in words["cautions"]:
        assert has(english, caution)
    assert has(english, labels("en")["text"]["first"])


def test_who_when_and_all_hashes_are_there(
    english: str, document: dict[str, Any]
) -> None:
    """What an auditor needs, whole."""
    for proof in (
        "J.Doe",
        "2026-01-05 06:00:00 UTC",
        document["record_id"],
        document["content_sha256"],
        document["content"]["checklist"]["sha256"],
        document["walk"]["journal"]["head_sha256"],
    ):
        assert has(english, proof)


def test_the_same_record_gives_the_same_bytes(document: dict[str, Any]) -> None:
    """A file that was filed can be made again years later, and compared."""
    assert walk_pdf(document) == walk_pdf(copy.deepcopy(document))


def test_korean_reads_back_as_korean(tmp_path: Path) -> None:
    """Labels, decision and every point in Hangul."""
    document = record(tmp_path, "ko")

    text, pages = read(walk_pdf(document))

    assert has(text, labels("ko")["outcome"]["out_of_service"])
    for answer in document["content"]["answers"]:
        assert has(text, document["words"]["prompts"][answer["checkpoint"]])
    assert 3 <= pages <= 9


def test_signs_without_a_shape_are_written_as_numbers(
    document: dict[str, Any],
) -> None:
    """A note with an odd sign or a control character loses nothing."""
    changed = copy.deepcopy(document)
    changed["notes"] = [
        {
            "at_utc": "2026-01-05T06:00:00.000Z",
            "checkpoint": None,
            "clip_sha256": None,
            "seconds": None,
            "text": "lip worn ✓ **not bold** \x07",
        }
    ]

    text, _ = read(walk_pdf(changed))

    assert has(text, "lip worn [U+2713] **not bold** [U+0007]")


def test_letters_without_a_font_are_refused(document: dict[str, Any]) -> None:
    """Thai letters would be lost: the error names them and what to do."""
    changed = copy.deepcopy(document)
    changed["content"]["operator"] = "\u0e01\u0e02"

    with pytest.raises(UsageError, match=r"\u0e01.*--font FILE"):
        walk_pdf(changed)


def test_a_walk_without_findings_and_without_plan(document: dict[str, Any]) -> None:
    """A checklist of one's own has no drawing here; the file is whole all the same."""
    changed = copy.deepcopy(document)
    changed["content"]["checklist"]["name"] = "../../my-own"
    some, _ = read(walk_pdf(changed))
    changed["content"]["findings"] = []
    none, _ = read(walk_pdf(changed))

    assert has(some, labels("en")["text"]["plan_text"])
    assert has(none, "No findings.")
