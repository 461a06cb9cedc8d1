"""What is kept of one simulated walk: a line of walks.jsonl."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict

__all__ = ["Misheard", "WalkRow", "WrongEntry"]


class WrongEntry(BaseModel):
    """A checkpoint whose record is not what the operator meant."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    checkpoint: str
    meant: dict[str, Any]
    recorded: dict[str, Any]
    hidden_finding: bool
    """A defect or a leak is recorded as good."""
    path: tuple[str, ...]
    """What happened around it, in order."""


class Misheard(BaseModel):
    """Something else was heard than was said, and not asked again."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    question: str
    said: str
    heard: str
    confidence: float
    outcome: str


class WalkRow(BaseModel):
    """One walk."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    run: str
    """What rows must share to be counted together."""
    number: int
    kind: str
    snr_db: float
    side: str
    voice: str
    enrolled: bool
    objects: bool
    """The operator takes back a wrong answer that is said back."""
    ended: str
    """signed, declined, stopped, or abandoned: the operator was not understood."""
    points: int
    """Checkpoints of the walk."""
    answers: int
    """Entries in the final record."""
    spoken: int
    """Times that the operator spoke."""
    turns: tuple[int, ...]
    """Turns of each checkpoint that has an entry."""
    least_turns: int
    """Turns of those checkpoints if every word had been heard surely."""
    other_turns: int
    """Turns that belong to no such checkpoint: climbs, the declaration, pauses."""
    wrong: tuple[WrongEntry, ...]
    given_up: tuple[str, ...]
    """Checkpoints that the operator gave up or the walk did not come to."""
    counts: dict[str, int]
    """How often things happened."""
    misheard: tuple[Misheard, ...]
    by_program: int
    """Phrases that no voice of the corpus says."""
    cpu_s: float

    @property
    def condition(self) -> str:
        """Noise and ratio, for tables."""
        return f"{self.kind} {self.snr_db:g}"
