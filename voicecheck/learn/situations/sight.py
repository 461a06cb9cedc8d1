"""What is seen, before the rules have been asked."""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.round.answers import Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """A text and the answer that it calls for."""

    kind: str
    number: int
    """Tells texts of one kind at one checkpoint apart."""
    text: str
    answer: Answer
    known_levels: tuple[tuple[str, Answer], ...] = ()
    why: str = ""
    caution: str = ""
