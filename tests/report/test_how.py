"""How each answer came in, as page and PDF show it."""

from __future__ import annotations

import copy
import io
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from voicecheck.clock import ManualClock
from voicecheck.record.document import record_document
from voicecheck.report.how import how
from voicecheck.report.labels_file import labels
from voicecheck.report.page import render
from voicecheck.report.pdf.walk import walk_pdf
from voicecheck.round import events as ev
from voicecheck.store.session import WalkSession
from voicecheck.testing.filling import fill
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import good_answers, small_checklist

HOW = ev.How(
    mode="spoken",
    confirmed_by="explicit",
    words=("four", "five"),
    confidence=0.873,
    tries=2,
    after_prompt_s=3.25,
    noise_dbfs=-31.04,
    snr_db=6.66,
    barge_in=True,
)
SHOWN = ("voice", "four, five", "by a yes", "0.87", "-31.0 dBFS", "6.7 dB")


@pytest.fixture(scope="module")
def document(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Give the record of a walk whose first answer was taken back once."""
    journal, folder = MemoryJournal(), tmp_path_factory.mktemp("walk")
    session = WalkSession.start(
        journal, ManualClock(), small_checklist(), unit="L-12", folder=Path(folder)
    )
    answers = good_answers()
    first = ev.AnswerConfirmed(checkpoint_id="hour_meter", answer=answers["hour_meter"])
    session.commit(first, HOW)
    session.commit(ev.AnswerWithdrawn(checkpoint_id="hour_meter"))
    fill(session, answers, how=HOW)
    entries = journal.entries(session.walk_id)
    return record_document(session.walk_id, session.walk, entries, entries[-1].head)


def test_every_answer_in_the_order_given(document: dict[str, Any]) -> None:
    """Those that were taken back as well, and marked so."""
    rows = how(document, labels("en"))

    assert len(rows) == 11
    assert [row.withdrawn for row in rows] == [True] + [False] * 10
    first = rows[0]
    assert first.flags == ("taken back", "said over the prompt")
    assert (first.given_by, first.heard, first.confirmed) == SHOWN[:3]
    assert (first.confidence, first.background, first.voice_over_noise) == SHOWN[3:]
    assert (first.tries, first.after_prompt) == ("2", "3.2 s")


def test_what_is_not_known_is_empty(document: dict[str, Any]) -> None:
    """A record that does not say how is shown without inventing it."""
    unknown = copy.deepcopy(document)
    for entry in unknown["how"]:
        for name in HOW.__slots__:
            if name in entry:
                entry[name] = None

    [row, *_] = how(unknown, labels("en"))

    told = (row.given_by, row.heard, row.confirmed, row.confidence, row.tries)
    assert told == ("",) * 5
    assert (row.after_prompt, row.background, row.voice_over_noise) == ("",) * 3


@pytest.mark.parametrize("language", ["en", "ko"])
def test_page_and_pdf_hold_the_table(document: dict[str, Any], language: str) -> None:
    """Read back as text, before the hashes."""
    shown = copy.deepcopy(document)
    shown["words"]["language"] = language
    heading = labels(language)["sections"]["how"]
    voice = labels(language)["mode"]["spoken"]
    pages = PdfReader(io.BytesIO(walk_pdf(shown))).pages
    pdf = "".join("".join(page.extract_text() for page in pages).split())
    page = render(shown)

    for part in (heading, voice, "four, five", "0.87", "-31.0 dBFS", "6.7 dB"):
        assert part in page
        assert "".join(part.split()) in pdf
    assert pdf.index("".join(heading.split())) < pdf.index(document["content_sha256"])
