"""What a learner did, as bodies of personal events, each with its kind.

Everything that practice leaves behind is one of these. They are appended as
they happen, and schedule and progress are worked out from them alone. No times
and no names here: the store puts them beside the body.
"""

from __future__ import annotations

from enum import IntEnum, StrEnum
from typing import Annotated, ClassVar, Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Field

from voicecheck.round.answers import LeakClass, Severity
from voicecheck.round.checklist import Outcome


class Grade(IntEnum):
    """How well something was recalled: the four grades of FSRS."""

    AGAIN = 1
    """Wrong, or not known."""
    HARD = 2
    """Right with a hint, or partly right."""
    GOOD = 3
    EASY = 4


class Mode(StrEnum):
    """How it was practised."""

    GUIDED = "guided"
    NEXT = "next"
    SPOT = "spot"


class Opened(StrEnum):
    """How a call begins: the meaning of the first answer at a point."""

    GOOD = "good"
    DEFECT = "defect"
    LEAK = "leak"
    COULD_NOT_CHECK = "could_not_check"
    YES = "yes"
    """A start check is met."""
    NO = "no"
    FULL = "full"
    BETWEEN = "between"
    LOW = "low"
    EMPTY = "empty"
    IN_LIMITS = "in_limits"
    """Of a reading."""
    OUTSIDE = "outside"

    @property
    def all_well(self) -> bool:
        """Tell whether it says that nothing is wrong."""
        return self in _ALL_WELL


_ALL_WELL = frozenset(
    {Opened.GOOD, Opened.YES, Opened.FULL, Opened.BETWEEN, Opened.IN_LIMITS}
)


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)
    kind: ClassVar[str]


class Review(_Body):
    """One card was recalled, well or badly."""

    kind: ClassVar[str] = "learn/review/1"
    card: Annotated[str, Field(min_length=1, max_length=200)]
    """Id of a card, made by `learn.cards`."""
    grade: Grade
    mode: Mode
    scheduler: str = "fsrs-6"
    """The version of the algorithm that the schedule is worked out with."""


class CallParts(BaseModel):
    """What is called of one situation; what does not belong to it stays None."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    opened: Opened
    severity: Severity | None = None
    leak_class: LeakClass | None = None
    may_work: bool


class Call(_Body):
    """One described situation was called."""

    kind: ClassVar[str] = "learn/call/1"
    checklist: str
    checkpoint: str
    situation: str
    """Id of the situation."""
    expected: CallParts
    said: CallParts
    outcome: Outcome
    """The decision that the rules give."""
    hinted: bool = False


class Order(_Body):
    """Zones, or the points of one zone, were said in order from memory."""

    kind: ClassVar[str] = "learn/order/1"
    checklist: str
    zone: str | None = None
    """The zone of which the points were said; None: the zones themselves."""
    expected: tuple[str, ...]
    """Ids in walking order, as far as they were asked for."""
    said: tuple[str, ...]
    """Ids in the order in which the learner said them."""
    hinted: tuple[str, ...] = ()
    """Ids that were given away by a hint."""


class Look(_Body):
    """A checkpoint was gone through on a guided walk."""

    kind: ClassVar[str] = "learn/look/1"
    checklist: str
    checkpoint: str


class Said(_Body):
    """One answer of a session that is judged as a whole, so that it can be taken
    up again."""

    kind: ClassVar[str] = "learn/said/1"
    mode: Mode
    sitting: UUID
    scope: str
    """What the session was made of: only the same can be taken up."""
    value: str


class Sitting(_Body):
    """A session began or ended: from these come the minutes practised."""

    kind: ClassVar[str] = "learn/sitting/1"
    mode: Mode
    state: Literal["begun", "ended"]


LearnEvent = Review | Call | Order | Look | Said | Sitting
