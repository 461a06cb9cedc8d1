"""The forms that go over the wire of a push, as JSON; unknown keys are refused."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from voicecheck.record.steps import JournalHead
from voicecheck.store.conflicts import ConflictKind
from voicecheck.store.far_end import Asked, FarWalk, Fate, Have, Receipt

Format = Literal["voicecheck-push/1"]
FORMAT: Format = "voicecheck-push/1"
MOST_ASKED = 500
"""Of each kind, in one question."""
MOST_PARCELS = 500


def _moment(text: str) -> str:
    """Refuse what looks like a moment and is none, such as a 30th of February."""
    datetime.fromisoformat(text)
    return text


_UUID = r"^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"
Id = Annotated[str, Field(pattern=_UUID)]
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Utc = Annotated[
    str,
    Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.]{12}Z$"),
    AfterValidator(_moment),
]
Name = Annotated[str, Field(max_length=64)]
Words = Annotated[str, Field(max_length=2000)]
Count = Annotated[int, Field(strict=True, ge=0, le=1_000_000)]
Text = Annotated[str, Field(min_length=1, max_length=4_000_000)]


class Form(BaseModel):
    """A form whose keys are all known."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class HeadForm(Form):
    """The newest entry of a chain."""

    seq: Count
    sha256: Sha256


class AskedForm(Form):
    """What the far end is asked for."""

    format: Format
    checklists: Annotated[list[Sha256], Field(max_length=MOST_ASKED)] = []
    units: Annotated[list[Name], Field(max_length=MOST_ASKED)] = []
    defects: Annotated[list[Id], Field(max_length=MOST_ASKED)] = []
    walks: Annotated[list[Id], Field(max_length=MOST_ASKED)] = []
    verify: bool = False

    @classmethod
    def of(cls, asked: Asked) -> AskedForm:
        """Fill in the form."""
        return cls(
            format=FORMAT,
            checklists=list(asked.checklists),
            units=list(asked.units),
            defects=list(asked.defects),
            walks=list(asked.walks),
            verify=asked.verify,
        )

    def asked(self) -> Asked:
        """Read the form."""
        return Asked(
            checklists=tuple(self.checklists),
            units=tuple(self.units),
            defects=tuple(self.defects),
            walks=tuple(self.walks),
            verify=self.verify,
        )


class FarWalkForm(Form):
    """How far a walk has come at the far end."""

    head: HeadForm
    file_sha256: Sha256 | None


class HaveForm(Form):
    """What the far end has of what it was asked for."""

    checklists: list[str]
    units: list[str]
    defects: dict[str, list[str]]
    walks: dict[str, FarWalkForm]
    purged: list[str]
    damaged: dict[str, str]

    @classmethod
    def of(cls, have: Have) -> HaveForm:
        """Fill in the form."""
        return cls(
            checklists=sorted(have.checklists),
            units=sorted(have.units),
            defects={one: list(heads) for one, heads in have.defects.items()},
            walks={
                one: FarWalkForm(
                    head=HeadForm(seq=walk.head.seq, sha256=walk.head.sha256),
                    file_sha256=walk.file_sha256,
                )
                for one, walk in have.walks.items()
            },
            purged=sorted(have.purged),
            damaged=dict(have.damaged),
        )

    def have(self) -> Have:
        """Read the form."""
        return Have(
            checklists=frozenset(self.checklists),
            units=frozenset(self.units),
            defects={one: tuple(heads) for one, heads in self.defects.items()},
            walks={
                one: FarWalk(
                    head=JournalHead(seq=walk.head.seq, sha256=walk.head.sha256),
                    file_sha256=walk.file_sha256,
                )
                for one, walk in self.walks.items()
            },
            purged=frozenset(self.purged),
            damaged=self.damaged,
        )


class ChecklistForm(Form):
    """A checklist as canonical JSON text."""

    kind: Literal["checklist"]
    text: Text


class UnitForm(Form):
    """A machine of the fleet list."""

    kind: Literal["unit"]
    unit: Name
    checklist: Annotated[str, Field(max_length=200)]
    title: Words
    place: Words
    hour_meter_h: Annotated[
        float | None, Field(strict=True, allow_inf_nan=False, ge=0, lt=10_000_000)
    ]
    hour_meter_utc: Utc | None


class EventForm(Form):
    """One event of a defect."""

    seq: Count
    at_utc: Utc
    by: Name
    kind: Annotated[str, Field(max_length=40)]
    payload: Text
    previous: Annotated[list[Sha256], Field(max_length=1000)]
    sha256: Sha256


class DefectForm(Form):
    """Events of a defect."""

    kind: Literal["defect"]
    defect_id: Id
    events: Annotated[list[EventForm], Field(min_length=1, max_length=10_000)]


class EntryForm(Form):
    """One entry of a walk's journal."""

    at_utc: Utc
    kind: Annotated[str, Field(max_length=40)]
    payload: Text


class RecordForm(Form):
    """The record of a walk that is over."""

    content_sha256: Sha256
    file_sha256: Sha256
    status: Annotated[str, Field(max_length=20)]
    outcome: Annotated[str, Field(max_length=40)]
    text: Text


class WalkForm(Form):
    """A walk: entries that go on after one that is known, and its record."""

    kind: Literal["walk"]
    walk_id: Id
    unit: Name
    operator: Name
    checklist: Annotated[str, Field(max_length=200)]
    checklist_version: Name
    checklist_sha256: Sha256
    started_utc: Utc
    after: HeadForm
    """The entry before the first of these; number 0 with 64 zeros for none."""
    entries: Annotated[list[EntryForm], Field(max_length=100_000)]
    head_sha256: Sha256
    """Of the last of the entries; without entries that of `after`."""
    record: RecordForm | None


ParcelForm = Annotated[
    ChecklistForm | UnitForm | DefectForm | WalkForm, Field(discriminator="kind")
]


class ParcelsForm(Form):
    """One batch; the far end keeps it in one transaction."""

    format: Format
    parcels: Annotated[list[ParcelForm], Field(max_length=MOST_PARCELS)]


class ReceiptForm(Form):
    """What became of one parcel."""

    fate: Fate
    entries: Count = 0
    records: Count = 0
    why: str = ""

    def receipt(self) -> Receipt:
        """Read the form."""
        return Receipt(
            fate=self.fate, entries=self.entries, records=self.records, why=self.why
        )


class ReceiptsForm(Form):
    """One receipt for each parcel, in their order."""

    receipts: list[ReceiptForm]


class UnitsForm(Form):
    """Units whose conflicts are asked for."""

    format: Format
    units: Annotated[list[Name], Field(max_length=MOST_ASKED)]


class ConflictForm(Form):
    """Two devices that did not know of each other."""

    unit: str
    kind: ConflictKind
    words: str
    title: str
    walk_ids: list[str]
    defect_ids: list[str]


class ConflictsForm(Form):
    """Conflicts of some units."""

    conflicts: list[ConflictForm]
