"""What one turn of the dialogue says, reports and listens for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from voicecheck.audio.tones import Tone
from voicecheck.speech.ports import ActiveSet


class SayKind(StrEnum):
    """Why something is said."""

    PROMPT = "prompt"
    """The question itself; the time to answer counts from its beginning."""
    READBACK = "readback"
    """What was understood."""
    INFO = "info"
    """Anything else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Say:
    """Speak a text."""

    text: str
    kind: SayKind = SayKind.INFO
    checkpoint_id: str | None = None
    value: Mapping[str, Any] | None = None
    """For a read-back: the answer as data."""
    may_be_cut: bool = False
    """An answer may come while it is said. Never for cautions, climbs, start
    checks, and anything that says back what was understood."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """Tell whoever watches (events, display) that something happened."""

    kind: str
    data: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """Sound a tone."""

    tone: Tone


Step = Say | Notice | Signal


@dataclass(frozen=True, slots=True, kw_only=True)
class Listen:
    """Listen for one answer."""

    active: ActiveSet
    checkpoint_id: str | None
    timeout_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordNote:
    """Keep a spoken note as sound."""

    checkpoint_id: str | None
    longest_s: float = 30.0
    timeout_s: float = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """Steps in order, then what to wait for; nothing to wait for: the end."""

    steps: tuple[Step, ...]
    then: Listen | RecordNote | None
