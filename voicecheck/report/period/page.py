"""A report of a period as one HTML file that needs nothing else."""

from __future__ import annotations

from html import escape

from voicecheck.report.labels_file import labels
from voicecheck.report.page import style
from voicecheck.report.period.charts import Chart
from voicecheck.report.period.figures import Figures
from voicecheck.report.period.parts import (
    Heading,
    Part,
    Sentence,
    Table,
    parts,
    title,
)


def period_page(figures: Figures, *, unit: str | None, language: str = "en") -> str:
    """Return the page of a period.

    Args:
        figures: what it shows.
        unit: the machine; None: the fleet.
        language: of the words.
    """
    at = labels(language)
    name = escape(title(figures, at, unit))
    body = "\n".join(part_html(part) for part in parts(figures, at))
    return (
        f'<!DOCTYPE html>\n<html lang="{escape(language)}">\n<head>\n'
        '<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{name}</title>\n<style>\n{style()}\n"
        ".chart svg { width: 100%; max-width: 40rem; height: auto; }\n</style>\n"
        f"</head>\n<body>\n<header><h1>{name}</h1></header>\n<main>\n{body}\n"
        "</main>\n</body>\n</html>\n"
    )


def part_html(part: Part) -> str:
    """Return one part as HTML; every text is escaped."""
    match part:
        case Heading():
            return f"<h2>{escape(part.text)}</h2>"
        case Sentence():
            look = ' class="soft small"' if part.soft else ""
            return f"<p{look}>{escape(part.text)}</p>"
        case Chart():
            return f'<div class="chart">{part.svg()}</div>'
        case Table():
            return _table(part)


def _table(table: Table) -> str:
    head = "".join(f"<th>{escape(text)}</th>" for text in table.head)
    rows = "\n".join(
        "<tr>" + "".join(f"<td>{escape(text)}</td>" for text in row) + "</tr>"
        for row in table.rows
    )
    top = f"<thead><tr>{head}</tr></thead>" if head else ""
    return f'<div class="wide"><table>{top}<tbody>\n{rows}\n</tbody></table></div>'
