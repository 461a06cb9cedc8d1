"""What happens to a defect. Events are only ever added."""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.round.answers import Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """What a walk has seen: how bad, and whether the machine may work with it."""

    walk_id: str
    severity: Severity
    holds: bool
    """The rules of the walk put the machine out of service for it."""
    words: str
    """What was found, for example "defect: cracked, major"."""
    rules: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectFound:
    """A walk found it: the first event of every defect."""

    unit: str
    checkpoint_id: str
    title: str
    """What the checkpoint is called."""
    sighting: Sighting


@dataclass(frozen=True, slots=True, kw_only=True)
class StillThere:
    """A later walk found it again."""

    sighting: Sighting


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairStarted:
    """Somebody took it in hand."""

    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairDone:
    """It was repaired; nobody has checked that yet."""

    done: str
    """What was done."""
    parts: str = ""
    hours_h: float = 0.0
    """Hours of work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairChecked:
    """Somebody looked at the repair."""

    good: bool
    """False: it has to be repaired again."""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitReleased:
    """A competent person put the machine back to work, as to this defect."""

    note: str = ""


DefectEvent = (
    DefectFound | StillThere | RepairStarted | RepairDone | RepairChecked | UnitReleased
)
