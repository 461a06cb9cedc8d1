"""What has happened on a walk. Replaying the events gives the walk again."""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.round.answers import Answer, Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkStarted:
    """A walk was begun on one unit with one checklist."""

    unit: str
    operator: str
    """Empty when not given."""
    checklist: str
    checklist_version: str
    checklist_sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerConfirmed:
    """An answer was given and confirmed."""

    checkpoint_id: str
    answer: Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerWithdrawn:
    """The operator took an answer back."""

    checkpoint_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckpointSkipped:
    """The operator left a point for later; it comes back at the end."""

    checkpoint_id: str
    reason: Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class SkipWithdrawn:
    """The operator took a skip back: the point is asked now, not at the end."""

    checkpoint_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClimbDone:
    """Both feet are down in the place of this zone."""

    zone_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteKept:
    """A note was kept: sound, or typed text."""

    checkpoint_id: str | None
    clip_sha256: str = ""
    seconds: float = 0.0
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkPaused:
    """The walk was put aside."""

    cause: str = "operator"


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkResumed:
    """The walk was taken up again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Declared:
    """The operator answered the declaration."""

    accepted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkStopped:
    """The operator ended the walk before its end."""

    reason: str


WalkEvent = (
    WalkStarted
    | AnswerConfirmed
    | AnswerWithdrawn
    | CheckpointSkipped
    | SkipWithdrawn
    | ClimbDone
    | NoteKept
    | WalkPaused
    | WalkResumed
    | Declared
    | WalkStopped
)


@dataclass(frozen=True, slots=True, kw_only=True)
class How:
    """How an answer came in. Kept beside the answer, never part of it."""

    mode: str
    """One of spoken, typed, browser."""
    confirmed_by: str
    """One of explicit (said yes), implicit (not objected to), typed."""
    words: tuple[str, ...] = ()
    """Phrases heard, one for each part."""
    confidence: float | None = None
    """The least of the parts, 0 … 1."""
    tries: int = 1
    """Times that the operator was listened to for this answer."""
    after_prompt_s: float | None = None
    """From the beginning of the prompt to the beginning of the answer."""
    too_fast: bool = False
    """A "good" faster than a person could have looked."""
    noise_dbfs: float | None = None
    """Level of the background while listening."""
    snr_db: float | None = None
    engine: str = ""
    barge_in: bool = False
    """Said while the prompt was still playing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observed:
    """Something worth keeping that does not change the walk.

    For example noinput, nomatch, device_lost, too_loud. Replay passes over it.
    """

    kind: str
    checkpoint_id: str | None = None
    detail: str = ""
