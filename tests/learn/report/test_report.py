"""Terminal, page and PDF say the same of a learner, in both languages."""

from __future__ import annotations

import io
import re
import tomllib
from datetime import UTC, datetime, timedelta
from functools import cache
from importlib.resources import files
from uuid import UUID
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader
from rich.console import Console

from voicecheck.checklists import load
from voicecheck.learn.deck import deck
from voicecheck.learn.events import LearnEvent, Order
from voicecheck.learn.history import Done
from voicecheck.learn.report.document import progress_document
from voicecheck.learn.report.page import body, page
from voicecheck.learn.report.pdf import pdf
from voicecheck.learn.report.terminal import terminal_view
from voicecheck.learn.report.view import View, view
from voicecheck.learn.sessions.spot import Spot
from voicecheck.learn.situations import build

START = datetime(2026, 11, 2, 6, tzinfo=UTC)
LEARNER = "J.Doe <b>&"


def practised() -> list[Done]:
    """Return two weeks of calls, every fourth begun wrongly, and two orders."""
    checklist = load("wheel-loader")
    zones = tuple(zone.id for zone in checklist.zones)
    events: list[LearnEvent] = []
    session = Spot(checklist, build(checklist)[::23])
    while not session.finished:
        expected = session.situation.expected
        choices = [choice.value for choice in session.ask().choices]
        wrong = len(events) % 8 == 0
        right = next(
            (
                str(part)
                for part in (expected.opened, expected.severity, expected.leak_class)
                if part is not None and str(part) in choices
            ),
            "yes" if expected.may_work else "no",
        )
        events += session.answer(choices[0] if wrong else right).events
    for said in (zones[::-1], (zones[1], zones[0], *zones[2:])):
        events.append(Order(checklist="wheel-loader", expected=zones, said=said))
    return [
        Done(at=START + timedelta(hours=4 * n), key=UUID(int=n), event=event)
        for n, event in enumerate(events)
    ]


@cache
def shown(language: str, *, empty: bool = False) -> View:
    """Return a view after a month."""
    done = [] if empty else practised()
    cards = deck(load("wheel-loader", language))
    return view(LEARNER, cards, done, START + timedelta(days=30))


def as_text(seen: View) -> str:
    """Return the terminal view as text."""
    console = Console(width=120, file=io.StringIO(), color_system=None)
    for part in terminal_view(seen):
        console.print(part)
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue()


def pdf_text(seen: View) -> str:
    """Return the text of the PDF in one line."""
    pages = PdfReader(io.BytesIO(pdf(seen))).pages
    return " ".join(" ".join(one.extract_text() for one in pages).split())


@pytest.mark.parametrize("language", ["en", "ko"])
def test_all_three_say_the_same(language: str) -> None:
    """d' with its interval, the share that was right, and the tau of the zones."""
    seen = shown(language)
    found = seen.progress.overall.detection
    assert found is not None
    figure = f"{found.d_prime:.2f} ({found.d_prime_interval.low:.2f}"
    right = seen.progress.overall.right
    share = f"{right.count}/{right.of} = "
    taus = [f"{said.tau:.2f}" for said in seen.progress.order if said.tau is not None]

    for text in (as_text(seen), page(seen), pdf_text(seen)):
        assert figure in text
        assert share in text
        for tau in taus:
            assert tau in text
    assert taus[0] == "-1.00"


def test_a_page_is_well_formed_and_escapes_what_was_typed() -> None:
    """It parses as XML, holds no script and no style attribute."""
    seen = shown("en")

    whole = page(seen)
    ET.fromstring(f"<div>{body(seen)}</div>")

    assert "<b>" not in whole
    assert "J.Doe &lt;b&gt;&amp;" in whole
    assert not re.search(r"<script|\sstyle=|https?://(?!www\.w3\.org)", whole)


@pytest.mark.parametrize("language", ["en", "ko"])
def test_a_beginner_is_told_so(language: str) -> None:
    """Nothing is made up: no figures, but a plan and a zone to begin with."""
    seen = shown(language, empty=True)
    text = as_text(seen)

    assert seen.plan.items
    assert "nan" not in text
    assert seen.checklist.zones[0].title in text
    assert "d' " not in text or language == "en"
    assert progress_document(seen)["overall"]["d_prime"] is None


def test_the_same_view_gives_the_same_bytes() -> None:
    """A PDF depends on the view alone."""
    assert pdf(shown("en")) == pdf(shown("en"))


def test_personal_results_are_marked_as_such() -> None:
    """Every output says whose they are, and that the manual comes first."""
    for text in (as_text(shown("en")), page(shown("en")), pdf_text(shown("en"))):
        flat = " ".join(text.split())
        assert "every look is written down" in flat
        assert "a competent person" in flat


def test_both_languages_have_the_same_words() -> None:
    """A label that is missing would break a page on the day it is needed."""
    folder = files("voicecheck.learn.report").joinpath("labels")

    def keys(language: str) -> set[tuple[str, str]]:
        text = folder.joinpath(f"{language}.toml").read_text("utf-8")
        table = tomllib.loads(text)
        return {(group, word) for group, words in table.items() for word in words}

    assert keys("en") == keys("ko")


def test_figures_for_programs_are_plain_numbers() -> None:
    """The document holds what the view shows; what cannot be told is null."""
    seen = shown("en")

    document = progress_document(seen)

    assert document["format"] == "voicecheck-learn/1"
    assert document["points"] == {
        "count": seen.progress.points.count,
        "of": seen.progress.points.of,
    }
    assert len(document["weeks"]) == len(seen.progress.weeks)
    assert [one["why"] for one in document["next"]] == [a.why for a in seen.advice]
