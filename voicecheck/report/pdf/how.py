"""The appendix of one walk: how each answer came in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from voicecheck.report.how import HowView, how
from voicecheck.report.labels_file import Labels
from voicecheck.report.pdf.sheet import Cell, Sheet

_WIDTHS = (13, 37, 32, 14, 25, 18, 15, 9, 17)


def how_table(sheet: Sheet, document: Mapping[str, Any], at: Labels) -> None:
    """Write the table; it begins on a page of its own."""
    rows = how(document, at)
    if not rows:
        return
    columns = at["columns"]
    sheet.pdf.add_page()
    sheet.heading(at["sections"]["how"])
    sheet.paragraph(at["text"]["how_text"], size_pt=8, soft=True)
    noise = f"{columns['noise']}; {columns['snr']}"
    names = ("time", "point", "answer", "given_by", "heard", "confirmed")
    head = [columns[name] for name in (*names, "confidence", "tries")]
    sheet.table((*head, noise), [_row(one) for one in rows], _WIDTHS, size_pt=6.5)


def _row(one: HowView) -> tuple[str | Cell, ...]:
    flags = "".join(f" [{flag}]" for flag in one.flags)
    noise = "\n".join(text for text in (one.background, one.voice_over_noise) if text)
    return (
        one.time,
        one.point,
        Cell(text=f"{one.answer}{flags}", bold=bool(flags)),
        one.given_by,
        one.heard,
        one.confirmed,
        one.confidence,
        one.tries,
        noise,
    )
