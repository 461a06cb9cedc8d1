"""A report as a PDF."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from voicecheck.observe.decision import Standing
from voicecheck.observe.report.parts import (
    Bullets,
    Facts,
    Heading,
    Part,
    Report,
    Sentence,
    SignatureLines,
    Strong,
    Table,
    Verdict,
)
from voicecheck.observe.texts_file import texts
from voicecheck.report.fonts import fonts_for
from voicecheck.report.pdf.sheet import Cell, Sheet

_FRAME_MM = {
    Standing.MET: 0.5,
    Standing.CANNOT_TELL: 0.9,
    Standing.NOT_MET: 1.6,
}


def report_pdf(report: Report, font: Path | None = None) -> bytes:
    """Return the PDF of a report.

    Args:
        report: what it says.
        font: a TrueType file that the user chose.

    Raises:
        UsageError: no font here has its letters.
    """
    say = texts(report.language)["text"]
    everything = report.title + repr(report.parts) + "".join(say.values())
    sheet = Sheet(
        fonts_for(everything, report.language, font),
        title=report.title,
        foot=say["made_by"],
        made_at=datetime.fromisoformat(report.made_utc),
        page_words=(say["page"], say["page_of"]),
        language=report.language,
    )
    sheet.paragraph(report.title, size_pt=15, bold=True)
    for part in report.parts:
        _write(sheet, part)
    return sheet.bytes()


def _write(sheet: Sheet, part: Part) -> None:
    match part:
        case Verdict():
            _verdict(sheet, part)
        case Heading():
            sheet.heading(part.text)
        case Sentence():
            size = 8.5 if part.soft else 9.5
            sheet.paragraph(part.text, size_pt=size, soft=part.soft, bold=part.strong)
        case Bullets():
            sheet.bullets(part.texts)
        case Facts():
            rows = [(Cell(text=name), value) for name, value in part.rows]
            sheet.table((), rows, (40, 140), size_pt=9)
        case Table():
            cells = [[_cell(text) for text in row] for row in part.rows]
            sheet.table(part.head, cells, part.widths)
        case SignatureLines():
            _lines(sheet, part)


def _verdict(sheet: Sheet, part: Verdict) -> None:
    with sheet.boxed(_FRAME_MM[part.standing]):
        sheet.paragraph(part.word, size_pt=18, bold=True)
        sheet.paragraph(part.text, size_pt=10)
        sheet.bullets(part.reasons)


def _cell(text: str) -> str | Cell:
    return Cell(text=text) if isinstance(text, Strong) else text


def _lines(sheet: Sheet, part: SignatureLines) -> None:
    sheet.room(20)
    sheet.pdf.ln(11)
    width = sheet.width_mm / len(part.labels)
    sheet.font(8)
    sheet.pdf.set_line_width(0.2)
    for label in part.labels:
        x, y = sheet.pdf.get_x(), sheet.pdf.get_y()
        sheet.pdf.line(x, y, x + width - 8, y)
        sheet.pdf.cell(width, 5, sheet.shown(label))
    sheet.pdf.ln(8)
