"""Progress for a terminal: the same parts, without the charts."""

from __future__ import annotations

from collections.abc import Iterator

from rich import box
from rich.console import RenderableType
from rich.table import Table as RichTable
from rich.text import Text

from voicecheck.learn.report.parts import parts, title
from voicecheck.learn.report.view import View
from voicecheck.report.period.parts import Heading, Part, Sentence, Table

__all__ = ["terminal_view"]


def terminal_view(shown: View) -> Iterator[RenderableType]:
    """Return what a console prints, in order; tables say what charts draw."""
    yield Text(title(shown), style="bold")
    for part in parts(shown):
        found = _rendered(part)
        if found is not None:
            yield found


def _rendered(part: Part) -> RenderableType | None:
    match part:
        case Heading():
            return Text(f"\n{part.text}", style="bold")
        case Sentence():
            return Text(part.text, style="dim" if part.soft else "")
        case Table():
            return _table(part)
    return None


def _table(part: Table) -> RichTable:
    table = RichTable(box=box.SIMPLE_HEAD, show_header=bool(part.head), pad_edge=False)
    for place in range(len(part.widths)):
        table.add_column(Text(part.head[place]) if part.head else "")
    for row in part.rows:
        table.add_row(*(Text(cell) for cell in row))
    return table
