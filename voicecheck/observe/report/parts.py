"""What a report is made of."""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.observe.decision import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The decision, first and in words."""

    standing: Standing
    word: str
    text: str
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Names with their values."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """Begins a part."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """A paragraph."""

    text: str
    soft: bool = False
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Bullets:
    """A list."""

    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows below a head; a cell may be a `Strong`."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SignatureLines:
    """Lines to sign on paper."""

    labels: tuple[str, ...]


Part = Verdict | Facts | Heading | Sentence | Bullets | Table | SignatureLines


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """A whole report."""

    title: str
    parts: tuple[Part, ...]
    language: str
    made_utc: str
    """The date that a file carries: of the newest thing in it."""


class Strong(str):
    """The text of a cell that is written bold."""

    __slots__ = ()
