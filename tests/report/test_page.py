"""The page of a record: the decision first, self-contained, nothing unescaped."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from voicecheck.clock import ManualClock
from voicecheck.record.document import record_document
from voicecheck.report.page import render
from voicecheck.report.text import to_plain_text
from voicecheck.round import events as ev
from voicecheck.round.answers import Answer, No, Reason
from voicecheck.store.session import WalkSession
from voicecheck.testing.filling import fill
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import (
    bad_answers,
    good_answers,
    small_checklist,
)

HOW = ev.How(
    mode="spoken",
    confirmed_by="implicit",
    words=("good",),
    confidence=0.87,
    after_prompt_s=0.3,
    too_fast=True,
    noise_dbfs=-40.0,
)
VOID = {"meta", "rect", "circle", "path", "br"}


def walked(
    folder: Path, answers: dict[str, Answer], *, accepted: bool = True
) -> dict[str, Any]:
    """Return the record of a walk with an answer taken back, a skip and a note."""
    journal = MemoryJournal()
    session = WalkSession.start(
        journal,
        ManualClock(),
        small_checklist(),
        unit="L-12",
        operator="J.Doe",
        folder=folder,
    )
    hours = ev.AnswerConfirmed(checkpoint_id="hour_meter", answer=answers["hour_meter"])
    session.commit(hours, HOW)
    session.commit(ev.AnswerWithdrawn(checkpoint_id="hour_meter"))
    session.commit(
        ev.CheckpointSkipped(checkpoint_id="hour_meter", reason=Reason.TOO_DARK)
    )
    session.commit(ev.NoteKept(checkpoint_id=None, text="<b>a note</b>"))
    session.observe("nomatch", "parked", "chatter")
    fill(session, answers, how=HOW, accepted=accepted)
    entries = journal.entries(session.walk_id)
    return record_document(session.walk_id, session.walk, entries, entries[-1].head)


@pytest.fixture
def document(tmp_path: Path) -> dict[str, Any]:
    """Give the record of a walk with findings."""
    return walked(tmp_path, bad_answers())


class Reader(HTMLParser):
    """Collect the text of a page, and notice tags that do not match."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.text: list[str] = []
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in ("style", "title"):
            self.text.append(data)


def read(page: str) -> tuple[str, Reader]:
    """Return the text of a page with single spaces, and its reader."""
    reader = Reader()
    reader.feed(page)
    reader.close()
    assert reader.open == []
    return " ".join(" ".join(reader.text).split()), reader


def test_the_decision_comes_first_in_words(document: dict[str, Any]) -> None:
    """Before findings and anything else, the page says what was decided."""
    text, _ = read(render(document))

    assert text.startswith("Walkaround record Unit L-12 Decision Out of service")
    assert text.index("Do not use.") < text.index("Findings (5)")


def test_the_page_needs_nothing_else(document: dict[str, Any]) -> None:
    """No script, no picture, no style or font from elsewhere, no handlers."""
    page = render(document)

    _, reader = read(page)

    assert not reader.tags & {"script", "img", "link", "iframe", "object", "form"}
    names = {name for name, _ in reader.attributes}
    assert not {name for name in names if name.startswith("on")}
    assert not names & {"src", "href", "action"}
    assert "url(" not in page
    assert "@import" not in page


def test_every_finding_is_shown_with_its_rule(document: dict[str, Any]) -> None:
    """Number, place, what, severity, and the rule's text with its source."""
    text, _ = read(render(document))

    assert "2 left side left wheel? defect: loose, major major out of service" in text
    assert "Rule wheels major. Source: invented for tests" in text
    assert "leak: fuel, class I: wetness, no drops" in text
    assert "350 kPa, low" in text
    assert "from 400 to 550 kPa; out of bounds: below 300, above 650 kPa" in text
    assert "could not check: unsafe" in text


def test_every_finding_is_on_the_plan(document: dict[str, Any]) -> None:
    """As many numbers on the drawing as there are findings, squares for the worst."""
    drawing = re.search(r"<svg.*</svg>", render(document), re.DOTALL)
    assert drawing is not None

    numbers = re.findall(r'fill="#\w+">(\d+)</text>', drawing.group())

    assert numbers == ["1", "2", "3", "4", "5"]
    assert drawing.group().count('width="22" height="22"') == 2
    assert drawing.group().count('r="11" fill="#fff"') == 3


def test_every_answer_and_how_it_came_in_is_shown(document: dict[str, Any]) -> None:
    """All points by zone, answers taken back, too fast ones, notes and the rest."""
    text, _ = read(render(document))

    for prompt in document["words"]["prompts"].values():
        assert text.count(prompt) >= 2
    assert "4527.3 h taken back faster than one can look" in text
    assert "10 answers of good came faster" in text
    assert "0.87 1 0.3 s -40.0 dBFS" in text
    assert "hour meter? too dark" in text
    assert "nomatch parked? chatter" in text


def test_who_when_and_hashes_are_shown(document: dict[str, Any]) -> None:
    """What an auditor needs stands on the page."""
    text, _ = read(render(document))

    assert "Operator J.Doe" in text
    assert "2026-01-05 06:00:00 UTC" in text
    for proof in (
        document["record_id"],
        document["content_sha256"],
        document["content"]["checklist"]["sha256"],
        document["walk"]["journal"]["head_sha256"],
    ):
        assert proof in text


def test_cautions_and_declaration_are_shown(document: dict[str, Any]) -> None:
    """The cautions of the checklist and what the operator declared."""
    text, _ = read(render(document))

    assert "The machine's manual and a competent person come first." in text
    assert "I looked at every point myself. The operator accepted." in text


def test_text_from_people_is_escaped(document: dict[str, Any]) -> None:
    """Nothing that somebody said or wrote becomes part of the page's code."""
    evil = "\"'><script>alert(1)</script>"
    document["content"]["operator"] = evil
    document["words"]["prompts"]["horn"] = evil
    document["words"]["zones"][0]["title"] = evil
    document["how"][0]["words"] = [evil]

    page = render(document)

    text, reader = read(page)
    assert "<script" not in page
    assert "<b>a note</b>" in text
    assert text.count(evil) >= 4
    assert "script" not in reader.tags


def test_a_page_without_findings(tmp_path: Path) -> None:
    """A good walk says so in words, and there is nothing to draw."""
    page = render(walked(tmp_path, good_answers()))

    text, _ = read(page)

    assert "Decision May work Nothing was found" in text
    assert "No findings." in text
    assert "<svg" not in page


def test_a_page_of_a_stopped_walk(tmp_path: Path) -> None:
    """The reason stands beside the decision, and nothing was declared."""
    document = walked(tmp_path, {**good_answers(), "parked": No()})

    text, _ = read(render(document))

    assert "Stopped before the end. Reason: Park it first." in text
    assert "The walk ended before the declaration." in text


def test_a_page_of_a_walk_that_was_not_signed(tmp_path: Path) -> None:
    """An operator who does not accept leaves the machine out of service."""
    document = walked(tmp_path, good_answers(), accepted=False)

    text, _ = read(render(document))

    assert "Decision Out of service" in text
    assert "The operator did not accept." in text


def test_a_korean_page(document: dict[str, Any]) -> None:
    """A walk in Korean has a page in Korean, marked as such for browsers."""
    document["words"]["language"] = "ko"
    document["words"]["prompts"]["horn"] = "경적?"

    page = render(document)

    text, _ = read(page)
    assert '<html lang="ko">' in page
    assert "판정 사용 금지" in text
    assert "경적?" in text


def test_a_page_depends_on_its_record_alone(document: dict[str, Any]) -> None:
    """Made again, it is the same page; local times are shown only when asked for."""
    assert render(document) == render(document)
    assert "(local" not in render(document)


def test_the_record_as_plain_text(document: dict[str, Any]) -> None:
    """In a terminal, too, the decision comes first and every finding is named."""
    lines = to_plain_text(document).splitlines()

    assert lines[0] == "OUT OF SERVICE"
    assert "Findings: 5" in lines
    assert (
        "  2. left side: left wheel? defect: loose, major (major; out of service)"
        in lines
    )
    assert document["content_sha256"] in lines[-1]
