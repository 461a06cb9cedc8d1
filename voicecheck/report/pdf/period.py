"""A report of a period as a PDF."""

from __future__ import annotations

from pathlib import Path

from voicecheck.report.fonts import fonts_for
from voicecheck.report.labels_file import labels
from voicecheck.report.pdf.sheet import INK, MARGIN_MM, Sheet
from voicecheck.report.period.charts import HEIGHT, WIDTH, Chart, Line, Shape, Words
from voicecheck.report.period.figures import Figures
from voicecheck.report.period.parts import (
    Heading,
    Part,
    Sentence,
    Table,
    parts,
    title,
)

_CHART_MM = 150.0


def period_pdf(
    figures: Figures,
    *,
    unit: str | None,
    language: str = "en",
    font: Path | None = None,
) -> bytes:
    """Return the PDF of a period.

    Args:
        figures: what it shows.
        unit: the machine; None: the fleet.
        language: of the words.
        font: a TrueType file that the user chose.

    Raises:
        UsageError: no font here has its letters.
    """
    at = labels(language)
    name = title(figures, at, unit)
    every = list(parts(figures, at))
    sheet = Sheet(
        fonts_for(name + repr(every), language, font),
        title=name,
        foot=at["text"]["made_by"],
        made_at=figures.end,
        page_words=(at["sheet"]["page"], at["sheet"]["of"]),
        language=language,
    )
    sheet.paragraph(name, size_pt=15, bold=True)
    write_parts(sheet, every)
    return sheet.bytes()


def write_parts(sheet: Sheet, every: list[Part]) -> None:
    """Write parts below each other; a chart stays with the words above it."""
    for number, part in enumerate(every):
        ahead = 2 if isinstance(part, Heading) else 1
        soon = every[number + 1 : number + 1 + ahead]
        _write(sheet, part, chart_follows=any(isinstance(p, Chart) for p in soon))


def _write(sheet: Sheet, part: Part, *, chart_follows: bool) -> None:
    if chart_follows:
        sheet.room(
            _CHART_MM * HEIGHT / WIDTH + (30 if isinstance(part, Heading) else 14)
        )
    match part:
        case Heading():
            sheet.heading(part.text)
        case Sentence():
            sheet.paragraph(
                part.text, size_pt=8.5 if part.soft else 9.5, soft=part.soft
            )
        case Table():
            sheet.table(part.head, part.rows, part.widths)
        case Chart():
            _chart(sheet, part)


def _chart(sheet: Sheet, chart: Chart) -> None:
    scale = _CHART_MM / WIDTH
    height = HEIGHT * scale
    sheet.room(height)
    left, top = MARGIN_MM, sheet.pdf.get_y()
    pdf = sheet.pdf
    for item in chart.items:
        match item:
            case Words():
                _words(sheet, item, left, top, scale)
            case Shape():
                pdf.set_fill_color(item.colour)
                pdf.polygon(_placed(item.points, left, top, scale), style="F")
            case Line():
                pdf.set_line_width(item.width * scale)
                pdf.set_draw_color(item.colour)
                pdf.set_dash_pattern(*((1.6, 1.3) if item.dashed else (0, 0)))
                pdf.polyline(_placed(item.points, left, top, scale))
    pdf.set_dash_pattern()
    pdf.set_draw_color(*INK)
    pdf.set_fill_color(255, 255, 255)
    pdf.set_xy(MARGIN_MM, top + height)


def _words(sheet: Sheet, item: Words, left: float, top: float, scale: float) -> None:
    sheet.font(11 * scale * 2.83)
    text = sheet.shown(item.text)
    wide = sheet.pdf.get_string_width(text)
    back = {"start": 0.0, "middle": wide / 2, "end": wide}[item.anchor]
    sheet.pdf.text(left + item.x * scale - back, top + item.y * scale, text)


def _placed(
    points: tuple[tuple[float, float], ...], left: float, top: float, scale: float
) -> list[tuple[float, float]]:
    return [(left + x * scale, top + y * scale) for x, y in points]
