"""Parcels of a push as the forms that go over the wire, and back.

Entries travel without their hashes. The far end works them out again from what
came, and they must lead to the head that the device's own chain ends with.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicecheck.defects.steps import event_of
from voicecheck.defects.story import Happening
from voicecheck.record.steps import JournalHead
from voicecheck.store.chain import FIRST_PREVIOUS, StoredEntry
from voicecheck.store.defect_rows import event_values
from voicecheck.store.far_end import (
    ChecklistParcel,
    DefectParcel,
    Parcel,
    UnitParcel,
    WalkParcel,
)
from voicecheck.store.ports import RecordRow, WalkRow
from voicecheck.store.push_forms import (
    ChecklistForm,
    DefectForm,
    EntryForm,
    EventForm,
    HeadForm,
    ParcelForm,
    RecordForm,
    UnitForm,
    WalkForm,
)
from voicecheck.store.session import record_name


def form_of(parcel: Parcel) -> ParcelForm:
    """Return a parcel as its form."""
    match parcel:
        case ChecklistParcel():
            return ChecklistForm(kind="checklist", text=parcel.text)
        case UnitParcel():
            return UnitForm(
                kind="unit",
                unit=parcel.unit,
                checklist=parcel.checklist,
                title=parcel.title,
                place=parcel.place,
                hour_meter_h=parcel.hour_meter_h,
                hour_meter_utc=parcel.hour_meter_utc,
            )
        case DefectParcel():
            return DefectForm(
                kind="defect",
                defect_id=parcel.defect_id,
                events=[_event_form(one) for one in parcel.story],
            )
        case WalkParcel():
            return _walk_form(parcel)


def parcel_of(form: ParcelForm) -> Parcel:
    """Return the parcel that a form stands for.

    Raises:
        JournalDamaged: an event of a defect cannot be read.
    """
    match form:
        case ChecklistForm():
            return ChecklistParcel(text=form.text)
        case UnitForm():
            return UnitParcel(
                unit=form.unit,
                checklist=form.checklist,
                title=form.title,
                place=form.place,
                hour_meter_h=form.hour_meter_h,
                hour_meter_utc=form.hour_meter_utc,
            )
        case DefectForm():
            story = tuple(_happening(form.defect_id, one) for one in form.events)
            return DefectParcel(defect_id=form.defect_id, story=story)
        case WalkForm():
            return _walk_parcel(form)


def _event_form(one: Happening) -> EventForm:
    values = event_values(one)
    return EventForm(
        seq=one.seq,
        at_utc=one.at_utc,
        by=one.by,
        kind=values["kind"],
        payload=values["payload"],
        previous=list(one.previous),
        sha256=one.sha256,
    )


def _happening(defect_id: str, form: EventForm) -> Happening:
    return Happening(
        defect_id=defect_id,
        seq=form.seq,
        at_utc=form.at_utc,
        by=form.by,
        event=event_of(form.kind, form.payload),
        previous=tuple(form.previous),
        sha256=form.sha256,
    )


def _walk_form(parcel: WalkParcel) -> WalkForm:
    walk, entries = parcel.walk, parcel.entries
    before = entries[0].previous_sha256 if entries else walk.head.sha256
    record = walk.record
    return WalkForm(
        kind="walk",
        walk_id=walk.walk_id,
        unit=walk.unit,
        operator=walk.operator,
        checklist=walk.checklist,
        checklist_version=walk.checklist_version,
        checklist_sha256=walk.checklist_sha256,
        started_utc=walk.started_utc,
        after=HeadForm(seq=walk.head.seq - len(entries), sha256=before),
        entries=[
            EntryForm(at_utc=one.at_utc, kind=one.kind, payload=one.payload)
            for one in entries
        ],
        head_sha256=walk.head.sha256,
        record=None
        if record is None
        else RecordForm(
            content_sha256=record.content_sha256,
            file_sha256=record.file_sha256,
            status=record.status,
            outcome=record.outcome,
            text=parcel.record_text,
        ),
    )


def _walk_parcel(form: WalkForm) -> WalkParcel:
    entries = _sealed(form)
    head = JournalHead(seq=form.after.seq + len(entries), sha256=form.head_sha256)
    record = form.record
    return WalkParcel(
        walk=WalkRow(
            walk_id=form.walk_id,
            unit=form.unit,
            operator=form.operator,
            checklist=form.checklist,
            checklist_version=form.checklist_version,
            checklist_sha256=form.checklist_sha256,
            started_utc=form.started_utc,
            last_utc=entries[-1].at_utc if entries else form.started_utc,
            head=head,
            record=None
            if record is None
            else RecordRow(
                record_id=form.walk_id,
                path=record_name(form.walk_id),
                content_sha256=record.content_sha256,
                file_sha256=record.file_sha256,
                status=record.status,
                outcome=record.outcome,
                head=head,
            ),
        ),
        entries=tuple(entries),
        record_text="" if record is None else record.text,
    )


def _sealed(form: WalkForm) -> Sequence[StoredEntry]:
    """Work out the hashes of the entries, one after the other."""
    entries: list[StoredEntry] = []
    previous = form.after.sha256 if form.after.seq else FIRST_PREVIOUS
    for place, one in enumerate(form.entries, start=form.after.seq + 1):
        unsealed = StoredEntry(
            walk_id=form.walk_id,
            seq=place,
            at_utc=one.at_utc,
            kind=one.kind,
            payload=one.payload,
            previous_sha256=previous,
            sha256="",
        )
        entry = unsealed.sealed()
        entries.append(entry)
        previous = entry.sha256
    return entries
