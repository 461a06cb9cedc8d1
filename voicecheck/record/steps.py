"""What a record is made from: the steps of a walk, each with its time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from voicecheck.round.events import How, Observed, WalkEvent


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingBegan:
    """The program took a walk in hand: at its start and at every resumption.

    It does not change the walk; replay passes over it.
    """

    mode: str
    """One of spoken, typed, browser."""
    language: str
    tool_version: str
    checklist_text_sha256: str = ""
    """Of the checklist's text as it was used, kept beside the journal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseMeasured:
    """How loud it was in one zone while the program listened.

    It does not change the walk; replay passes over it. A zone can have several.
    """

    zone_id: str | None
    """None before the first zone."""
    seconds_at: tuple[tuple[int, float], ...]
    """A-weighted level in whole dB re an RMS of 1.0, and for how many seconds."""
    full_scale_db: float | None = None
    """Sound pressure level of an RMS of 1.0; None: not calibrated."""
    device: str = ""
    """The microphone that was calibrated."""


Aside = Observed | SittingBegan | NoiseMeasured
"""Events that replay passes over."""
JournalEvent = WalkEvent | Aside


class Step(Protocol):
    """One thing that happened, and when. Entries of a journal are steps."""

    @property
    def at_utc(self) -> str:
        """ISO 8601 with milliseconds and Z."""
        ...

    @property
    def event(self) -> JournalEvent: ...

    @property
    def how(self) -> How | None: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalHead:
    """The last entry of a walk's journal; it fixes every entry before it."""

    seq: int
    """Its number; the first entry is 1."""
    sha256: str
