"""What a voice profile is: examples of an operator's words, and what was fitted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from voicecheck.audio.frames import Frames

__all__ = ["Example", "Source", "VersionKind", "by_phrase"]


class Source(StrEnum):
    """Where an example comes from."""

    ENROLLED = "enrolled"
    """Said when asked to, or recorded for it. Stays."""
    LEARNED = "learned"
    """A confirmed answer of a walk. Bounded; the oldest leave."""


class VersionKind(StrEnum):
    """Why a version was made."""

    ENROLMENT = "enrolment"
    FOLDER = "folder"
    WALK = "walk"
    REFITTED = "refitted"
    """The same examples, fitted again to another network."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Example:
    """One spoken example of a phrase."""

    phrase: str
    frames: Frames
    """The word with a little of its background, mono at 16 kHz."""
    source: Source = Source.ENROLLED
    spoken_utc: str = ""
    """ISO 8601; empty where nobody knows."""
    snr_db: float = 40.0
    """Estimated level of the word over its background."""


def by_phrase(examples: Iterable[Example]) -> dict[str, tuple[Example, ...]]:
    """Group examples by phrase, in the order of the phrases' first examples."""
    found: dict[str, list[Example]] = {}
    for example in examples:
        found.setdefault(example.phrase, []).append(example)
    return {phrase: tuple(group) for phrase, group in found.items()}
