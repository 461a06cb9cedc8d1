"""The plan view of a machine with numbered findings, in a PDF."""

from __future__ import annotations

from collections.abc import Sequence

from voicecheck.report.labels_file import Labels
from voicecheck.report.machine_plan import drawing
from voicecheck.report.pdf.sheet import INK, Sheet
from voicecheck.report.plan import HEIGHT, MARK_RADIUS, WIDTH, Mark

_EDGE = 24.0
"""Room for the words front, rear, left and right, in units of the drawing."""


def draw_plan(
    sheet: Sheet,
    checklist: str,
    marks: Sequence[Mark],
    at: Labels,
    *,
    x: float,
    y: float,
    width_mm: float,
) -> float:
    """Draw a machine and the numbers of findings.

    Args:
        sheet: where.
        checklist: name of the checklist whose machine it is.
        marks: the numbers.
        at: labels.
        x: left edge, mm.
        y: upper edge, mm.
        width_mm: of the whole, with the words at its sides.

    Returns:
        The lower edge, mm.
    """
    scale = width_mm / (WIDTH + 2 * _EDGE)
    left, top = x + _EDGE * scale, y + _EDGE * scale
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}">{drawing(checklist)}</svg>'
    )
    sheet.picture(svg, left, top, WIDTH * scale)
    _sides(sheet, at, left, top, scale)
    for mark in marks:
        if mark.has_line:
            sheet.pdf.set_line_width(0.3)
            sheet.pdf.line(
                left + mark.anchor_x * scale,
                top + mark.anchor_y * scale,
                left + mark.x * scale,
                top + mark.y * scale,
            )
    for mark in marks:
        _mark(sheet, mark, left, top, scale)
    return top + (HEIGHT + _EDGE) * scale


def _mark(sheet: Sheet, mark: Mark, left: float, top: float, scale: float) -> None:
    pdf, radius = sheet.pdf, MARK_RADIUS * scale
    x, y = left + mark.x * scale, top + mark.y * scale
    pdf.set_line_width(0.45)
    if mark.alone_unfit:
        pdf.set_fill_color(*INK)
        pdf.set_draw_color(255, 255, 255)
        pdf.rect(x - radius, y - radius, 2 * radius, 2 * radius, style="DF")
        pdf.set_text_color(255, 255, 255)
        pdf.set_draw_color(*INK)
    else:
        pdf.set_fill_color(255, 255, 255)
        pdf.circle(x, y, radius, style="DF")
    sheet.font(radius * 2 * 1.75, bold=True)
    pdf.set_xy(x - 5, y - 2)
    pdf.cell(10, 4, str(mark.number), align="C")
    pdf.set_text_color(*INK)


def _sides(sheet: Sheet, at: Labels, left: float, top: float, scale: float) -> None:
    pdf, words = sheet.pdf, at["page"]
    width, height, edge = WIDTH * scale, HEIGHT * scale, _EDGE * scale
    sheet.font(8)
    for text, above in ((words["front"], top - edge), (words["rear"], top + height)):
        pdf.set_xy(left, above)
        pdf.cell(width, edge, sheet.shown(text), align="C")
    for text, beside, turn in (
        (words["left"], left - edge / 2, 90),
        (words["right"], left + width + edge / 2, 270),
    ):
        middle = top + height / 2
        with pdf.rotation(turn, beside, middle):
            pdf.set_xy(beside - 15, middle - 2)
            pdf.cell(30, 4, sheet.shown(text), align="C")
