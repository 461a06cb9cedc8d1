"""Progress as a PDF."""

from __future__ import annotations

from pathlib import Path

from voicecheck.learn.report.parts import parts, title
from voicecheck.learn.report.view import View
from voicecheck.report.fonts import fonts_for
from voicecheck.report.labels_file import labels
from voicecheck.report.pdf.period import write_parts
from voicecheck.report.pdf.sheet import Sheet

__all__ = ["pdf"]


def pdf(shown: View, *, font: Path | None = None) -> bytes:
    """Return the PDF; the same view gives the same bytes.

    Args:
        shown: what it shows.
        font: a TrueType file that the user chose.

    Raises:
        UsageError: no font here has its letters.
    """
    at = labels(shown.language)
    every, name = list(parts(shown)), title(shown)
    sheet = Sheet(
        fonts_for(name + repr(every), shown.language, font),
        title=name,
        foot=at["text"]["made_by"],
        made_at=shown.progress.until,
        page_words=(at["sheet"]["page"], at["sheet"]["of"]),
        language=shown.language,
    )
    sheet.paragraph(name, size_pt=15, bold=True)
    write_parts(sheet, every)
    return sheet.bytes()
