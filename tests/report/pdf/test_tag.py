"""The sheet that tags a machine out, read back as text."""

from __future__ import annotations

import io
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from voicecheck.report.labels_file import labels, languages
from voicecheck.report.pdf.tag import Signal, Tag, tag_pdf

AT = datetime(2026, 10, 5, 6, 1, tzinfo=UTC)


def tag(**changes: object) -> Tag:
    """Return a tag for a machine of the demo."""
    usual = {"unit": "L-12", "wrong": ("Horn does not work",), "who": "J.Doe", "at": AT}
    return Tag(**{**usual, **changes})  # type: ignore[arg-type]


def read(data: bytes) -> str:
    """Return the text of the sheet without blanks; it has one page."""
    (page,) = PdfReader(io.BytesIO(data)).pages
    return "".join(page.extract_text().split())


@pytest.mark.parametrize("language", languages())
def test_all_that_the_rules_ask_for_is_on_it(language: str) -> None:
    """Signal word and major message (29 CFR 1910.145(f)(4)), the warning of what
    happens (1910.147(c)(5)(iii)), and who applied it (1910.147(c)(5)(ii)(D))."""
    words = labels(language)["tag"]

    text = read(tag_pdf(tag(contact="Tel. 12"), language, local_time=False))

    for wanted in (words["danger"], words["message"], words["energised"]):
        assert "".join(wanted.split()) in text
    for wanted in ("L-12", "Horndoesnotwork", "J.Doe", "2026-10-0506:01:00UTC"):
        assert wanted in text
    assert "Tel.12" in text and "222N" in text


def test_the_signal_word_can_be_warning() -> None:
    """1910.145(f)(7): between caution and danger."""
    text = read(tag_pdf(tag(signal=Signal.WARNING)))

    assert text.startswith("WARNING") and "DANGER" not in text


def test_the_signal_word_can_be_read_from_five_feet() -> None:
    """1910.145(f)(4)(ii) asks for 5 ft; letters of 1/200 of that would be 7.6 mm
    high (common practice, no source), these are more than twice that."""
    sizes: list[tuple[float, str]] = []

    def visit(text: str, _cm: object, tm: list[float], _font: object, size: float):  # type: ignore[no-untyped-def]
        if text.strip():
            sizes.append((size * abs(tm[3]), text.strip()))

    PdfReader(io.BytesIO(tag_pdf(tag()))).pages[0].extract_text(visitor_text=visit)

    largest, words = max(sizes)
    assert "DANGER" in words
    assert largest * 0.68 * 25.4 / 72 > 15  # capitals are about 0.68 of the size


@settings(max_examples=8, deadline=None)
@given(
    st.lists(
        st.text("abc ÄÖ%&<>", min_size=1, max_size=600).filter(str.strip),
        min_size=1,
        max_size=12,
    )
)
def test_it_stays_on_one_page_and_counts_what_has_no_room(wrong: list[str]) -> None:
    """However much is wrong; the worst is in front."""
    text = read(tag_pdf(tag(wrong=tuple(wrong))))

    assert "".join(wrong[0].split())[:20] in text
    if len(wrong) > 5:
        assert "furtherfindings" in text
