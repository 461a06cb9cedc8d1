"""What is wrong with a checklist file, as values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class ProblemSeverity(StrEnum):
    """May the file be used all the same?"""

    ERROR = "error"
    """No: the loader refuses it."""
    WARNING = "warning"
    """Yes, but it could be better."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing to put right."""

    severity: ProblemSeverity
    place: str
    """Where in the file, for example "checkpoint horn, prompt"."""
    text: str
    """A sentence that says what to do."""

    def __str__(self) -> str:
        return f"{self.severity}: {self.place}: {self.text}"


def error(place: str, text: str) -> Problem:
    """Return a problem that makes the file unusable."""
    return Problem(severity=ProblemSeverity.ERROR, place=place, text=text)


def warning(place: str, text: str) -> Problem:
    """Return a problem that leaves the file usable."""
    return Problem(severity=ProblemSeverity.WARNING, place=place, text=text)
