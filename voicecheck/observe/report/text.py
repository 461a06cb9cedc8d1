"""A report as plain text for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from voicecheck.observe.report.parts import (
    Bullets,
    Facts,
    Heading,
    Part,
    Report,
    Sentence,
    SignatureLines,
    Table,
    Verdict,
)

WIDTH = 80


def report_text(report: Report) -> str:
    """Return a report as lines of at most 80 characters where words allow it."""
    lines = [report.title, "=" * len(report.title)]
    for part in report.parts:
        lines += _lines(part)
    return "\n".join(lines) + "\n"


def _lines(part: Part) -> Iterator[str]:
    match part:
        case Verdict():
            yield from ("", part.word.upper(), *_wrapped(part.text))
            for reason in part.reasons:
                yield from _wrapped(reason, "- ")
        case Heading():
            yield from ("", part.text, "-" * len(part.text))
        case Sentence():
            yield from _wrapped(part.text)
        case Bullets():
            for text in part.texts:
                yield from _wrapped(text, "- ")
        case Facts():
            for name, value in part.rows:
                yield from _wrapped(f"{name}: {value}")
        case Table():
            for row in part.rows:
                cells = [cell.replace("\n", ", ") for cell in row if cell]
                yield from _wrapped(" | ".join(cells), "- ")
        case SignatureLines():
            return


def _wrapped(text: str, lead: str = "") -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead)
    ) or [lead]
