"""What a push asks of the store at its other end, however that one is reached.

A push asks what the far end has (the heads of its chains), and gives it what it
lacks as parcels. Two links lead there: `database_far_end` writes into a database,
`http_far_end` talks to `voicecheck serve --accept-push`, which uses the former.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol

from voicecheck.defects.story import Happening
from voicecheck.record.steps import JournalHead
from voicecheck.store.chain import StoredEntry
from voicecheck.store.conflicts import Conflict
from voicecheck.store.ports import WalkRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the near end wants to know: ids, hashes of checklists, names of units."""

    checklists: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    defects: tuple[str, ...] = ()
    walks: tuple[str, ...] = ()
    verify: bool = False
    """Also follow the chains of these walks and defects from end to end there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FarWalk:
    """How far a walk has come at the far end."""

    head: JournalHead
    file_sha256: str | None
    """Of its record; None while there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Have:
    """What of that the far end has; what it does not know is left out."""

    checklists: frozenset[str] = frozenset()
    units: frozenset[str] = frozenset()
    defects: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Hashes of the newest events of each."""
    walks: Mapping[str, FarWalk] = field(default_factory=dict)
    purged: frozenset[str] = frozenset()
    """Walks that were thrown away there by the rules of keeping."""
    damaged: Mapping[str, str] = field(default_factory=dict)
    """Walks and defects whose chain does not hold there, with the reason; only
    when `verify` was asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecklistParcel:
    """A checklist as it was walked on, as canonical JSON text."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitParcel:
    """A machine of the fleet list; what the far end has of it stays."""

    unit: str
    checklist: str
    title: str
    place: str
    hour_meter_h: float | None
    hour_meter_utc: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectParcel:
    """Events of one defect, in their order; those that are there do no harm."""

    defect_id: str
    story: tuple[Happening, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkParcel:
    """A walk with entries that the far end lacks; some of them may be there."""

    walk: WalkRow
    """Its head is the last of the entries, and a record is there only then."""
    entries: tuple[StoredEntry, ...]
    """Numbered without a gap; they go on from what the far end has."""
    record_text: str
    """The very bytes of the record's file; empty: the parcel has no record."""


Parcel = ChecklistParcel | UnitParcel | DefectParcel | WalkParcel


class Fate(StrEnum):
    """What the far end did with a parcel."""

    KEPT = "kept"
    UNCHANGED = "unchanged"
    """All of it was there already, or was thrown away there by the rules."""
    REFUSED = "refused"
    """It does not hold or does not fit; nothing of it was kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Receipt:
    """What became of one parcel."""

    fate: Fate
    entries: int = 0
    """Entries that were new."""
    records: int = 0
    why: str = ""
    """A sentence, when it was refused."""


class FarEnd(Protocol):
    """The store at the other end of a push.

    Every method raises `LinkLost` when the far end cannot be reached now,
    `LinkError` when it will not take pushes from here, and `JournalError` when a
    database cannot be used. What was kept before is whole.
    """

    @property
    def place(self) -> str:
        """Where it is, as it is told to a person."""
        ...

    def have(self, asked: Asked) -> Have:
        """Tell what is there of what was asked for."""
        ...

    def take(self, parcels: Sequence[Parcel]) -> tuple[Receipt, ...]:
        """Keep parcels, all in one transaction; one that is refused stays out.

        Each chain is verified as it came and as it was written, else nothing of
        the parcel is kept. Taking a parcel again changes nothing.

        Returns:
            One receipt for each parcel, in their order.
        """
        ...

    def conflicts(self, units: Sequence[str]) -> tuple[Conflict, ...]:
        """Tell where devices wrote about these units without each other."""
        ...
