"""The sheet to tag a machine out with: signal word, message, what, who, when.

It carries what 29 CFR 1910.147(c)(5) and 1910.145(f) ask for, in black on white
with a frame of our own. The site's procedure comes first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Any, cast

from fpdf.enums import XPos, YPos

from voicecheck.report.fonts import fonts_for
from voicecheck.report.labels_file import Labels, labels
from voicecheck.report.pdf.sheet import Sheet
from voicecheck.report.view import view
from voicecheck.report.wording import time_words

SIGNAL_WORD_PT = 88.0
"""Letters about 22 mm high. Common practice, no source, is 25 mm for each 7.5 m
of distance at the least; 1910.145(f)(4)(ii) asks for 5 ft (1.52 m)."""
LONGEST = 400
"""Characters of what is wrong; more would make the sheet hard to read."""


class Signal(StrEnum):
    """How great the danger is; 29 CFR 1910.145(f)(5) to (7)."""

    DANGER = "danger"
    """An immediate hazard: the usual word for a machine out of service."""
    WARNING = "warning"
    """Between danger and caution."""


class Message(StrEnum):
    """The major message."""

    DO_NOT_OPERATE = "message"
    DEFECTIVE = "message_defect"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """What stands on the sheet."""

    unit: str
    wrong: tuple[str, ...]
    """What is wrong, the worst first; at least one."""
    who: str
    """Who tagged it: the one who may take it off."""
    at: datetime
    signal: Signal = Signal.DANGER
    message: Message = Message.DO_NOT_OPERATE
    contact: str = ""
    """Company and telephone."""
    record_id: str = ""
    """The record that it comes from."""


def tag_pdf(
    tag: Tag, language: str = "en", *, local_time: bool = True, font: Path | None = None
) -> bytes:
    """Return the sheet as a PDF of one page.

    Args:
        tag: what stands on it.
        language: of the words.
        local_time: also show the time in the time zone of this computer.
        font: a TrueType file that the user chose.

    Raises:
        UsageError: no font here has its letters.
    """
    at = labels(language)
    written = "".join([*at["tag"].values(), tag.unit, *tag.wrong, tag.who, tag.contact])
    sheet = Sheet(
        fonts_for(written, language, font),
        title="",
        foot="",
        made_at=tag.at,
        page_words=("", ""),
        language=language,
    )
    sheet.pdf.set_auto_page_break(False)
    _frame(sheet)
    _head(sheet, tag, at)
    _fields(sheet, tag, at, local_time=local_time)
    _foot(sheet, at)
    return sheet.bytes()


def _frame(sheet: Sheet) -> None:
    """Two lines round the page with cut corners: a frame of our own."""
    for line_mm, edge in ((3.0, 9.0), (0.8, 14.0)):
        sheet.pdf.set_line_width(line_mm)
        right, bottom, cut = 210 - edge, 297 - edge, 12.0
        sheet.pdf.polygon(
            [
                (edge + cut, edge),
                (right - cut, edge),
                (right, edge + cut),
                (right, bottom - cut),
                (right - cut, bottom),
                (edge + cut, bottom),
                (edge, bottom - cut),
                (edge, edge + cut),
            ]
        )


def _head(sheet: Sheet, tag: Tag, at: Labels) -> None:
    words, pdf = at["tag"], sheet.pdf
    pdf.set_y(22)
    _big(sheet, words[tag.signal.value], SIGNAL_WORD_PT, 34)
    pdf.set_line_width(1.2)
    pdf.line(18, 60, 192, 60)
    pdf.set_y(64)
    _big(sheet, words[tag.message.value], 52, 20)
    pdf.ln(3)
    pdf.set_x(20)
    sheet.font(11)
    pdf.multi_cell(170, 5.2, sheet.shown(words["energised"]), align="C")


def _big(sheet: Sheet, text: str, size_pt: float, height_mm: float) -> None:
    """Write a line as large as it fits."""
    shown = sheet.shown(text)
    sheet.font(size_pt, bold=True)
    wide = sheet.pdf.get_string_width(shown)
    if wide > 168:
        sheet.font(size_pt * 168 / wide, bold=True)
    sheet.pdf.cell(0, height_mm, shown, align="C")
    sheet.pdf.ln(height_mm)


def _fields(sheet: Sheet, tag: Tag, at: Labels, *, local_time: bool) -> None:
    words, pdf = at["tag"], sheet.pdf
    when = time_words(tag.at.isoformat(), at, local_time=local_time)
    pdf.set_y(104)
    _field(sheet, words["unit"], tag.unit, 34, 18)
    _field(sheet, words["wrong"], "\n".join(_wrong(tag, at)), 17, 46)
    _field(sheet, words["who"], tag.who, 19, 13)
    _field(sheet, words["when"], when, 13, 11)
    _field(sheet, words["company"], tag.contact, 15, 13)


def _wrong(tag: Tag, at: Labels) -> tuple[str, ...]:
    """As many findings as can be read on one page; the rest is counted."""
    shown: list[str] = []
    for text in tag.wrong:
        if (shown and sum(map(len, shown)) + len(text) > LONGEST) or len(shown) == 5:
            more = len(tag.wrong) - len(shown)
            return (*shown, f"+ {more} {at['tag']['defects']}")
        shown.append(text[: 2 * LONGEST])
    return tuple(shown)


def _field(
    sheet: Sheet, name: str, value: str, size_pt: float, height_mm: float
) -> None:
    """A small name, the value in large letters, and a line below."""
    pdf, top = sheet.pdf, sheet.pdf.get_y()
    pdf.set_xy(20, top)
    sheet.font(9.5)
    pdf.cell(170, 4.5, sheet.shown(name))
    pdf.ln(4.5)
    shown, size = sheet.shown(value), size_pt
    while size > 7:
        sheet.font(size, bold=True)
        laid_out = pdf.multi_cell(
            170, size * 0.42, shown, align="L", dry_run=True, output="LINES"
        )
        lines = cast("list[str]", laid_out)
        if len(lines) * size * 0.42 <= height_mm:
            break
        size -= 1
    pdf.set_x(20)
    pdf.multi_cell(170, size * 0.42, shown, align="L")
    pdf.set_line_width(0.5)
    bottom = top + 4.5 + height_mm + 1
    pdf.line(20, bottom, 190, bottom)
    pdf.set_y(bottom + 1.5)


def _foot(sheet: Sheet, at: Labels) -> None:
    words, pdf = at["tag"], sheet.pdf
    pdf.set_xy(20, 247)
    sheet.font(11, bold=True)
    pdf.multi_cell(
        170, 5, sheet.shown(words["until"]), new_x=XPos.LMARGIN, new_y=YPos.NEXT
    )
    for name in ("fasten", "asked"):
        pdf.set_x(20)
        sheet.font(8)
        pdf.multi_cell(
            170, 3.5, sheet.shown(words[name]), new_x=XPos.LMARGIN, new_y=YPos.NEXT
        )


def wrong_of(document: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what a record found wrong, in words, the worst first.

    Args:
        document: a record that follows its schema.
    """
    findings = view(document, labels(document["words"]["language"])).findings
    worst_first = sorted(findings, key=lambda one: one.outcome != "out_of_service")
    return tuple(f"{one.point} {one.what}" for one in worst_first)
