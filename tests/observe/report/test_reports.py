"""Reports say the same on page, paper and terminal, and let no text through as code.

Covers result_parts, figures_parts, debrief_parts, compare_parts, course_parts,
page, pdf and text: one list of parts is written by all three.
"""

from __future__ import annotations

import io
import re
from dataclasses import replace
from uuid import UUID

import pytest
from pypdf import PdfReader

from voicecheck.observe.compare import compare
from voicecheck.observe.course import course
from voicecheck.observe.decision import Decided, decide
from voicecheck.observe.events import Appealed, ObserveEvent, Signed, Signing
from voicecheck.observe.marks import MarkKind, UnsafeAct
from voicecheck.observe.observation import fold
from voicecheck.observe.report.compare_parts import compare_report
from voicecheck.observe.report.course_parts import course_report
from voicecheck.observe.report.debrief_parts import debrief_report
from voicecheck.observe.report.page import fragment, page
from voicecheck.observe.report.parts import Report
from voicecheck.observe.report.pdf import report_pdf
from voicecheck.observe.report.result_parts import result_report
from voicecheck.observe.report.text import report_text
from voicecheck.observe.report.words import Words, number
from voicecheck.observe.result import Result, result
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()
WORDS = Words(SMALL)
HOSTILE = '<script>alert("x")</script> & *bold*'
ACT = replace(
    w.mark(50, MarkKind.UNSAFE, 20, act=UnsafeAct.THREE_POINTS_BROKEN), note=HOSTILE
)
APPEAL = Appealed(
    key=UUID(int=70),
    observation=w.OBSERVATION,
    at_utc=w.at(500),
    by="J.Doe",
    text=HOSTILE,
)


def shown(*extra: ObserveEvent) -> tuple[Result, Decided]:
    """Return result and decision of the watched walk."""
    found = result(w.watched(SMALL, extra), SMALL)
    return found, decide(found)


def pdf_text(report: Report) -> str:
    """Return the text of the PDF with single spaces."""
    reader = PdfReader(io.BytesIO(report_pdf(report)))
    text = " ".join(page.extract_text() for page in reader.pages)
    return re.sub(r"\s+", " ", text)


def test_the_decision_comes_first_and_the_figures_follow() -> None:
    """On paper as on the page."""
    report = result_report(*shown(), WORDS)

    text, html = pdf_text(report), page(report)

    for sentence in (
        "Not yet",
        "Too few faults were planted to tell",
        "93 planted faults would be needed",
        "Sensitivity d' 0.64 (−1.41 to 2.68); criterion c 0.00",
        "Kendall's tau 0.83 by points",
        "8 of 10 points (49% to 94%)",
        "Reference: M.Roe, 2 March.",
        "The seal holds",
    ):
        assert sentence in text
        assert sentence in html.replace("&#39;", "'")
    assert text.index("Not yet") < text.index("What fails at once")
    assert "class called wrongly" in text


def test_what_fails_at_once_is_named_in_the_decision() -> None:
    """Before anything else."""
    [verdict, *_] = result_report(*shown(ACT), WORDS).parts

    assert "three points of contact" in getattr(verdict, "reasons", ("",))[0]


@pytest.mark.parametrize("language", ["en", "ko"])
def test_nothing_written_becomes_code(language: str) -> None:
    """A note and an appeal with tags in them stay text."""
    report = result_report(*shown(ACT, APPEAL), Words(SMALL, language))

    assert "<script" not in page(report)
    assert str(fragment(report)).count("&lt;script&gt;") >= 2
    assert HOSTILE in report_text(report).replace("\n  ", " ")


def test_the_debrief_begins_with_what_was_good() -> None:
    """Then what to practise, with what wrong looks like; then how sure it is."""
    text = report_text(debrief_report(*shown(ACT), WORDS))

    good = text.index("You found 2 of the 3 planted faults")
    act = text.index("This fails at once")
    missed = text.index("engine oil? You looked, and did not call it")
    few = text.index("3 planted faults are few")
    assert good < act < missed < few
    assert "It looks wrong." in text.replace("\n ", "")  # the checklist's own words
    assert "voicecheck learn" in text


def test_the_debrief_of_an_empty_walk_finds_something_good() -> None:
    """Nobody goes home with nothing."""
    closed = w.sealed(SMALL)
    seen = fold(
        w.OBSERVATION, [w.begun(SMALL, closed), *w.ending(closed, reason="rain")]
    )
    found = result(seen, SMALL)

    text = report_text(debrief_report(found, decide(found), WORDS))

    assert "You took on a walk with somebody watching." in text
    assert "nobody marked whether you looked: 10." in text.replace("\n", " ")
    assert "The order differed" not in text  # nothing is known of it
    assert "This walk cannot decide" in text or "Practise with" in text


def test_signatures_say_whether_they_are_of_this_result() -> None:
    """A mark taken back after signing makes an older signature visible."""
    from voicecheck.observe.document import result_sha256

    sha256 = result_sha256(*shown())
    signed = Signed(
        key=UUID(int=71),
        observation=w.OBSERVATION,
        at_utc=w.at(600),
        by=w.ASSESSOR,
        role=Signing.ASSESSOR,
        result_sha256=sha256,
    )

    same = report_text(result_report(*shown(signed), WORDS))
    changed = report_text(result_report(*shown(signed, ACT), WORDS))

    assert "Assessor: C.Poe: signed, 2026-03-02 06:10:00 UTC" in same
    assert "Trainee: J.Doe: not signed" in same
    assert "signed an earlier result" in changed
    assert "no qualified electronic signature" in same


def test_korean_pages_and_paper() -> None:
    """The same figures in Korean words."""
    report = result_report(*shown(), Words(SMALL, "ko"))

    assert "아직 아닙니다" in page(report)
    assert "93개를 심어야" in pdf_text(report)


def test_two_assessors_on_paper() -> None:
    """Kappa beside the share that is alike, and what to talk about."""
    other = UUID(int=2)
    begun = replace(
        w.begun(SMALL, w.sealed(SMALL)),
        by="A.Lee",
        observation=other,
        at_utc=w.at(3600),
    )
    marks = [
        replace(
            mark,
            by="A.Lee",
            observation=other,
            kind=MarkKind.MISSED if mark.checkpoint == "horn" else mark.kind,
        )
        for mark in w.marks()
    ]
    found = compare(w.watched(SMALL), fold(other, [begun, *marks]), SMALL)

    text = report_text(compare_report(found, WORDS))

    assert "The two began 60 minutes apart" in text
    assert "- cab: horn? | glanced at | passed by" in text
    assert "alike over 10 points" in text.replace("\n", " ")


def test_a_course_on_paper() -> None:
    """It names no trainee."""
    found = course([shown()[0]])

    text = report_text(course_report(found, WORDS, w.at(0)))

    assert "Trainees: 1, observations: 1" in text
    assert "- engine: engine oil? | low | 0 of 1 | 0% to 79% | –" in text
    assert w.TRAINEE not in text


@pytest.mark.parametrize(
    ("value", "text"),
    [(None, "–"), (-0.001, "0.00"), (-1.5, "−1.50"), (2, "2.00")],
)
def test_numbers(value: float | None, text: str) -> None:
    """A true minus sign, and no minus before nothing."""
    assert number(value) == text


def test_the_same_result_gives_the_same_bytes() -> None:
    """Nothing of today gets into the file."""
    report = result_report(*shown(), WORDS)

    assert report_pdf(report) == report_pdf(report)
