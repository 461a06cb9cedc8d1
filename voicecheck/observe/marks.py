"""What an assessor marks while the trainee walks.

A mark is never changed. Taking one back is a retraction, an event of its own
that names the mark's key; so marks may come late, twice, or in any order.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from uuid import UUID

from voicecheck.clock import utc_text
from voicecheck.round.answers import LeakClass, Severity

NOTE_CHARACTERS = 300
"""A note is short: the assessor watches the trainee."""


class MarkKind(StrEnum):
    """What was seen."""

    LOOKED = "looked"
    """The trainee looked at the point properly."""
    GLANCED = "glanced"
    """The eyes passed over it."""
    MISSED = "missed"
    """Passed without a look."""
    OUT_OF_ORDER = "out_of_order"
    """Looked at, but not where the order asks for it."""
    UNSAFE = "unsafe"
    """An unsafe act; it may belong to no point."""
    CALLED = "called"
    """The trainee said that something is wrong here."""
    REAL_FAULT = "real_fault"
    """Something is really wrong here that nobody planted: no false alarm."""

    @property
    def is_look(self) -> bool:
        """Tell whether it says how well a point was looked at."""
        return self in (MarkKind.LOOKED, MarkKind.GLANCED, MarkKind.MISSED)

    @property
    def needs_checkpoint(self) -> bool:
        """Tell whether it means nothing without a point."""
        return self is not MarkKind.UNSAFE


class UnsafeAct(StrEnum):
    """Unsafe acts with a name; see also `criteria.toml`."""

    CAB_CHECK_SKIPPED = "cab_check_skipped"
    """Went to the machine without seeing that nobody is in the cab."""
    THREE_POINTS_BROKEN = "three_points_broken"
    """Climbed with fewer than three points of contact."""
    HOT_COOLANT_OPENED = "hot_coolant_opened"
    """Opened, or began to open, a cooling system that may be hot."""
    OTHER = "other"


class MarkWay(StrEnum):
    """How a mark came in."""

    PAGE = "page"
    SPOKEN = "spoken"
    TYPED = "typed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One mark. The same key is the same mark, however often it comes."""

    key: UUID
    """Made where the mark was made."""
    observation: UUID
    kind: MarkKind
    at_utc: str
    """By the clock of the device that it was made on: ISO 8601, UTC."""
    by: str
    """Id of the assessor."""
    checkpoint: str | None = None
    act: UnsafeAct | None = None
    """Of an unsafe act."""
    severity: Severity | None = None
    """What the trainee said, for `called`."""
    leak_class: LeakClass | None = None
    """What the trainee said, for `called`."""
    note: str = ""
    skew_s: float = 0.0
    """How far that clock was ahead of the store's, in seconds."""
    way: MarkWay = MarkWay.TYPED

    @property
    def when_utc(self) -> str:
        """When it was made, by the clock of the store."""
        made = datetime.fromisoformat(self.at_utc)
        return utc_text(made - timedelta(seconds=self.skew_s))


@dataclass(frozen=True, slots=True, kw_only=True)
class Retraction:
    """A mark was taken back."""

    key: UUID
    observation: UUID
    mark: UUID
    """Key of the mark."""
    at_utc: str
    by: str
    skew_s: float = 0.0


def mark_problem(mark: Mark) -> str | None:
    """Say why a mark means nothing, or return None."""
    if mark.kind.needs_checkpoint and not mark.checkpoint:
        return f'a mark "{mark.kind}" belongs to a point; name the checkpoint'
    if mark.act is not None and mark.kind is not MarkKind.UNSAFE:
        return f'an act belongs to the mark "unsafe", not to "{mark.kind}"'
    said = mark.severity is not None or mark.leak_class is not None
    if said and mark.kind is not MarkKind.CALLED:
        return f'what the trainee said belongs to the mark "called", not "{mark.kind}"'
    if len(mark.note) > NOTE_CHARACTERS:
        return f"a note has at most {NOTE_CHARACTERS} characters; make it shorter"
    return None
