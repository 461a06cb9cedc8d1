"""What happens to an observation beside the marks."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any
from uuid import UUID

from voicecheck.observe.marks import Mark, Retraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """What every event has."""

    key: UUID
    observation: UUID
    at_utc: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun(Happened):
    """An assessor begins to watch a trainee; the scenario is sealed by now."""

    trainee: str
    unit: str
    checklist: str
    """Its name."""
    checklist_version: str
    checklist_sha256: str
    commitment: str
    """SHA-256 in hex: what the scenario is held against afterwards."""
    language: str = "en"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended(Happened):
    """The walk is over."""

    reason: str = ""
    """Empty: walked to the end. Otherwise why it was broken off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined(Happened):
    """The trainee's own record of the walk, copied out of the journal."""

    walk_id: str
    walk: dict[str, Any]
    """See `voicecheck.observe.own_walk`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened(Happened):
    """The seal was opened after the walk: scenario, criteria and salt are shown."""

    sealed: dict[str, Any]
    """See `voicecheck.observe.seal`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Appealed(Happened):
    """Somebody does not agree with the result. It is kept beside it."""

    text: str


class Signing(StrEnum):
    """As whom somebody signs."""

    ASSESSOR = "assessor"
    TRAINEE = "trainee"


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed(Happened):
    """Somebody declared to have seen the result.

    Id and time as declared: no qualified electronic signature.
    """

    role: Signing
    result_sha256: str
    """Of the canonical JSON of the result that was shown."""


ObserveEvent = Mark | Retraction | Begun | Ended | Joined | Opened | Appealed | Signed
