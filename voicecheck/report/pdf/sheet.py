"""Pages of A4 with a heading, paragraphs and tables: all that reports need."""

from __future__ import annotations

import io
import logging
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

from fpdf import FPDF
from fpdf.enums import TableBordersLayout, VAlign, XPos, YPos
from fpdf.fonts import FontFace
from fpdf.table import Row

from voicecheck.report.fonts import FontFiles, writable

MARGIN_MM = 15.0
INK = (20, 24, 28)
SOFT = (74, 82, 90)
TINT = (238, 240, 242)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell of a table in another weight than the rest."""

    text: str
    bold: bool = True


class Sheet:
    """One PDF document, written from top to bottom.

    Args:
        fonts: the one to use first in front; see `voicecheck.report.fonts`.
        title: of the document, and in the head of every page but the first.
        foot: at the bottom of every page, beside the page's number.
        made_at: the date that the file carries; the same input gives the same
            bytes.
        page_words: "Page" and "of" in the language of the document.
        language: code of the language.
    """

    def __init__(
        self,
        fonts: Sequence[FontFiles],
        *,
        title: str,
        foot: str,
        made_at: datetime,
        page_words: tuple[str, str],
        language: str,
    ) -> None:
        self._fonts = fonts
        self.pdf = _Pages(self.shown(title), self.shown(foot), page_words)
        for place, files in enumerate(fonts):
            self.pdf.add_font(f"face{place}", "", files.regular)
            self.pdf.add_font(f"face{place}", "B", files.bold)
        self.pdf.set_fallback_fonts(
            [f"face{place}" for place in range(1, len(fonts))], exact_match=False
        )
        self.pdf.set_margin(MARGIN_MM)
        self.pdf.set_auto_page_break(True, margin=18)
        self.pdf.set_title(self.shown(title))
        self.pdf.set_lang(language)
        self.pdf.set_creation_date(made_at)
        self.pdf.set_creator("voicecheck")
        self.pdf.set_draw_color(*INK)
        self.pdf.set_text_color(*INK)
        self.pdf.add_page()

    def shown(self, text: object) -> str:
        """Return a text as the fonts can write it."""
        return writable(str(text), self._fonts)

    def bytes(self) -> bytes:
        """Return the finished file."""
        # it tells at length which hints of a font it leaves out
        logging.getLogger("fontTools.subset").setLevel(logging.ERROR)
        return bytes(self.pdf.output())

    def font(self, size_pt: float, *, bold: bool = False) -> None:
        """Choose size and weight of what follows."""
        self.pdf.set_font("face0", "B" if bold else "", size_pt)

    @property
    def width_mm(self) -> float:
        """Between the margins."""
        return float(self.pdf.epw)

    def room(self, height_mm: float) -> None:
        """Begin a new page when less than this is left on this one."""
        if self.pdf.will_page_break(height_mm):
            self.pdf.add_page()

    def heading(self, text: str) -> None:
        """Write a heading with a line below, never alone at the foot of a page."""
        self.room(24)
        self.pdf.ln(4)
        self.font(12, bold=True)
        self._write(text, 6)
        at = self.pdf.get_y() + 0.5
        self.pdf.set_line_width(0.3)
        self.pdf.line(MARGIN_MM, at, MARGIN_MM + self.width_mm, at)
        self.pdf.ln(2)

    def paragraph(
        self, text: str, *, size_pt: float = 9.5, bold: bool = False, soft: bool = False
    ) -> None:
        """Write a paragraph."""
        self.font(size_pt, bold=bold)
        self.pdf.set_text_color(*(SOFT if soft else INK))
        self._write(text, size_pt * 0.47)
        self.pdf.set_text_color(*INK)
        self.pdf.ln(0.8)

    def bullets(self, texts: Iterable[str], *, size_pt: float = 9.5) -> None:
        """Write a list."""
        for text in texts:
            self.room(size_pt * 0.47)
            self.font(size_pt)
            self.pdf.cell(5, size_pt * 0.47, "•")
            self._write(text, size_pt * 0.47)
            self.pdf.ln(0.5)

    @contextmanager
    def boxed(self, line_mm: float = 0.4, pad_mm: float = 3.0) -> Iterator[None]:
        """Draw a frame round what is written inside; it must fit on the page."""
        top = self.pdf.get_y()
        self.pdf.set_y(top + pad_mm)
        self.pdf.set_left_margin(MARGIN_MM + pad_mm)
        self.pdf.set_right_margin(MARGIN_MM + pad_mm)
        self.pdf.set_x(MARGIN_MM + pad_mm)
        yield
        bottom = self.pdf.get_y() + pad_mm
        self.pdf.set_left_margin(MARGIN_MM)
        self.pdf.set_right_margin(MARGIN_MM)
        self.pdf.set_line_width(line_mm)
        self.pdf.rect(MARGIN_MM, top, self.width_mm, bottom - top)
        self.pdf.set_xy(MARGIN_MM, bottom + 2)

    def table(
        self,
        head: Sequence[str],
        rows: Iterable[Sequence[str | Cell]],
        widths: Sequence[float],
        *,
        size_pt: float = 8.5,
        align: str | Sequence[str] = "LEFT",
    ) -> None:
        """Write a table; its head is repeated on every page.

        Args:
            head: of the columns; empty: none.
            rows: cells from left to right.
            widths: of the columns, in any unit.
            size_pt: of the letters.
            align: of all columns, or of each.
        """
        self.font(size_pt)
        self.pdf.set_line_width(0.15)
        self.pdf.set_fill_color(255, 255, 255)
        with self.pdf.table(
            col_widths=tuple(widths),
            headings_style=FontFace(emphasis="BOLD", fill_color=TINT),
            first_row_as_headings=bool(head),
            line_height=size_pt * 0.46,
            padding=(0.9, 1.2),
            v_align=VAlign.T,
            text_align=align if isinstance(align, str) else tuple(align),
            borders_layout=TableBordersLayout.HORIZONTAL_LINES,
        ) as table:
            if head:
                table.row([self.shown(text) for text in head])
            for cells in rows:
                row = table.row()
                for cell in cells:
                    self._cell(row, cell)
        self.pdf.ln(1)

    def picture(self, svg: str, x: float, y: float, width_mm: float) -> None:
        """Draw an SVG of ours."""
        self.pdf.image(io.BytesIO(svg.encode()), x=x, y=y, w=width_mm)

    def _cell(self, row: Row, cell: str | Cell) -> None:
        if isinstance(cell, str):
            row.cell(self.shown(cell))
            return
        style = FontFace(emphasis="BOLD" if cell.bold else None)
        row.cell(self.shown(cell.text), style=style)

    def _write(self, text: str, line_mm: float) -> None:
        self.pdf.multi_cell(
            0,
            line_mm,
            self.shown(text),
            align="L",
            new_x=XPos.LMARGIN,
            new_y=YPos.NEXT,
        )


class _Pages(FPDF):
    """The library's document, with head and foot."""

    def __init__(self, title: str, foot: str, page_words: tuple[str, str]) -> None:
        super().__init__(format="A4")
        self._head, self._foot = title, foot
        self._page, self._of = page_words

    def header(self) -> None:
        if self.page_no() == 1 or not self._head:
            return
        self.set_font("face0", "B", 8.5)
        self.cell(0, 5, self._head, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ln(2)

    def footer(self) -> None:
        if not self._foot:
            return
        self.set_y(-13)
        self.set_font("face0", "", 7)
        self.set_text_color(*SOFT)
        self.cell(0, 4, self._foot)
        self.set_xy(-60, -13)
        number = f"{self._page} {self.page_no()} {self._of} {{nb}}"
        self.cell(60 - MARGIN_MM, 4, number, align="R")
        self.set_text_color(*INK)
