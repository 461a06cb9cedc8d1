"""Situations in another language: texts for the same facts, each of them."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, RootModel

from voicecheck.errors import LearnError
from voicecheck.learn.situations.schema import (
    DefectEntry,
    Key,
    PartEntry,
    ReadingEntry,
    SeatEntry,
    Text,
    Texts,
)


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class DefectWords(_Strict):
    """Texts of a defect; as many as in English."""

    texts: Texts
    why: Text


class PartWords(_Strict):
    """Texts of a part; the same keys as in English."""

    caution: str = ""
    seats: tuple[Annotated[str, Field(min_length=1)], ...] = ()
    """In the order of the English file."""
    yes: dict[Key, Text] = {}
    no: dict[Key, Text] = {}
    good: dict[Key, Text] = {}
    unseen: dict[Key, Text] = {}
    defects: dict[Key, DefectWords] = {}


class PartsWordsFile(RootModel[dict[Key, PartWords]]):
    """One file of texts."""


class ReadingWords(_Strict):
    """Texts of a reading."""

    text: Text
    limits: Text
    caution: str = ""


class ReadingsWordsFile(RootModel[dict[Key, ReadingWords]]):
    """Texts of all readings."""


def part_in_words(name: str, part: PartEntry, words: PartWords) -> PartEntry:
    """Return the part with other texts.

    Raises:
        LearnError: a text is missing, or there is one too many.
    """
    for group in ("yes", "no", "good", "unseen", "defects"):
        _same_keys(f"{name}.{group}", getattr(part, group), getattr(words, group))
    _same(f"{name}.seats", len(part.seats), len(words.seats))
    _same(f"{name}.caution", bool(part.caution), bool(words.caution))
    return PartEntry(
        points=part.points,
        caution=words.caution,
        any_fluid=part.any_fluid,
        seats=tuple(
            SeatEntry(text=text, fluids=seat.fluids, points=seat.points)
            for seat, text in zip(part.seats, words.seats, strict=True)
        ),
        yes=words.yes,
        no=words.no,
        good=words.good,
        unseen=words.unseen,
        defects={
            key: _defect(f"{name}.{key}", defect, words.defects[key])
            for key, defect in part.defects.items()
        },
    )


def reading_in_words(
    name: str, entry: ReadingEntry, words: ReadingWords
) -> ReadingEntry:
    """Return the reading with other texts.

    Raises:
        LearnError: its caution is missing, or there is one too many.
    """
    _same(f"{name}.caution", bool(entry.caution), bool(words.caution))
    return ReadingEntry(
        tag=entry.tag,
        points=entry.points,
        text=words.text,
        limits=words.limits,
        caution=words.caution,
    )


def _defect(where: str, defect: DefectEntry, words: DefectWords) -> DefectEntry:
    _same(f"{where}.texts", len(defect.texts), len(words.texts))
    return DefectEntry(
        fault=defect.fault,
        severity=defect.severity,
        texts=words.texts,
        why=words.why,
    )


def _same_keys(where: str, facts: dict[str, object], words: dict[str, object]) -> None:
    odd = facts.keys() ^ words.keys()
    if odd:
        raise LearnError(f"{where}: {', '.join(sorted(odd))} stands in one file only")


def _same(where: str, facts: int, words: int) -> None:
    if facts != words:
        raise LearnError(f"{where}: {facts} in English, {words} in the other language")
