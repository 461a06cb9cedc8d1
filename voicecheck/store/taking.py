"""Take one parcel of a push into a store: checked as it came, checked as written.

Everything here happens in the transaction of the caller, who rolls it back when
an error is raised. Nothing trusts the writer of a parcel, who may be anybody
that knows the token.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, insert, select, update

from voicecheck.defects.story import Happening
from voicecheck.errors import SyncError
from voicecheck.store import (
    archive,
    chain,
    defect_rows,
    registration,
    rows,
    verification,
)
from voicecheck.store.chain import StoredEntry
from voicecheck.store.far_end import (
    ChecklistParcel,
    DefectParcel,
    Fate,
    Parcel,
    Receipt,
    UnitParcel,
    WalkParcel,
)
from voicecheck.store.fitting import check_fit
from voicecheck.store.names import operator_id, unit_id
from voicecheck.store.ports import RecordRow, WalkRow
from voicecheck.store.tables import (
    checklists,
    defect_events,
    defects,
    entries,
    purged,
    record_texts,
    records,
    units,
    walks,
)
from voicecheck.store.wire import checklist_from_text

_UNCHANGED = Receipt(fate=Fate.UNCHANGED)


def take(connection: Connection, parcel: Parcel) -> Receipt:
    """Keep a parcel.

    Raises:
        SyncError: it does not hold, or does not fit what is here.
        JournalDamaged: likewise, or what is here does not hold.
        UsageError: a unit or operator has a name that nobody could give.
    """
    match parcel:
        case ChecklistParcel():
            return _take_checklist(connection, parcel)
        case UnitParcel():
            return _take_unit(connection, parcel)
        case DefectParcel():
            return _take_defect(connection, parcel)
        case WalkParcel():
            return _take_walk(connection, parcel)


def _take_checklist(connection: Connection, parcel: ChecklistParcel) -> Receipt:
    checklist_from_text(parcel.text)
    sha256 = hashlib.sha256(parcel.text.encode()).hexdigest()
    row = {"sha256": sha256, "text": parcel.text}
    check_fit(checklists, row)
    return _kept(rows.insert_missing(connection, checklists, [row]))


def _take_unit(connection: Connection, parcel: UnitParcel) -> Receipt:
    row: dict[str, Any] = {
        "unit": parcel.unit,
        "checklist": parcel.checklist,
        "title": parcel.title,
        "place": parcel.place,
        "hour_meter_h": parcel.hour_meter_h,
        "hour_meter_utc": parcel.hour_meter_utc,
    }
    _check_unit(parcel.unit)
    check_fit(units, row)
    return _kept(rows.insert_missing(connection, units, [row]))


def _kept(count: int) -> Receipt:
    return Receipt(fate=Fate.KEPT) if count else _UNCHANGED


def _take_walk(connection: Connection, parcel: WalkParcel) -> Receipt:
    walk = parcel.walk
    if was_purged(connection, walk.walk_id):
        return _UNCHANGED
    there, theirs = rows.stored_walk(connection, walk.walk_id, lock=True)
    if there is not None:
        _whole(there, theirs, "at the far end")
    new = _new_entries(parcel, theirs)
    if _nothing_new(walk, there, new):
        return _UNCHANGED
    joined = [*theirs, *new]
    if not joined:
        raise SyncError("it came without any entry")
    after = replace(walk, last_utc=joined[-1].at_utc)
    _whole(after, joined, "as it came")
    _check_walk(connection, after, joined, parcel.record_text)
    _write(connection, after, new=new, is_new=there is None, text=parcel.record_text)
    written, kept = rows.stored_walk(connection, walk.walk_id)
    assert written is not None
    _whole(written, kept, "at the far end")  # else nothing is kept
    return Receipt(
        fate=Fate.KEPT, entries=len(new), records=int(after.record is not None)
    )


def _new_entries(
    parcel: WalkParcel, theirs: Sequence[StoredEntry]
) -> list[StoredEntry]:
    """The entries that are not here yet; the others must be the same ones."""
    head = parcel.walk.head
    first = head.seq - len(parcel.entries) + 1
    if first > len(theirs) + 1:
        raise SyncError("entries between what is here and what came are missing")
    before = parcel.entries[0].previous_sha256 if parcel.entries else head.sha256
    known = theirs[: first - 1]
    same_begin = not known or known[-1].sha256 == before
    common = min(len(theirs) - len(known), len(parcel.entries))
    if not same_begin or list(parcel.entries[:common]) != theirs[len(known) :][:common]:
        raise SyncError(
            "it went on in two places; both are kept: this one here, the other one "
            "at the far end"
        )
    return list(parcel.entries[common:])


def _nothing_new(
    walk: WalkRow, there: WalkRow | None, new: Sequence[StoredEntry]
) -> bool:
    if there is None:
        return False
    if there.record is not None and walk.record is not None:
        if _unplaced(there.record) != _unplaced(walk.record):
            raise SyncError("the far end has another record of it; both are kept")
        return True
    if there.record is not None and new:
        raise SyncError(
            "it went on after its record was made at the far end; both are kept"
        )
    if walk.record is not None and there.head.seq > walk.head.seq:
        raise SyncError(
            "at the far end it went on after its record was made here; both are kept"
        )
    return walk.record is None and not new


def _unplaced(record: RecordRow) -> RecordRow:
    """A record without the name of its file, which each device chooses itself."""
    return replace(record, path="")


def _whole(walk: WalkRow, kept: Sequence[StoredEntry], where: str) -> None:
    found = verification.verify(walk.walk_id, walk, kept)
    if not found.ok:
        raise SyncError(f"its chain does not hold {where}: {found.problems[0]}")


def _check_walk(
    connection: Connection, walk: WalkRow, kept: Sequence[StoredEntry], text: str
) -> None:
    """Walk a walk whose chain holds again, and hold its record against it."""
    _check_unit(walk.unit)
    if operator_id(walk.operator) != walk.operator:
        raise SyncError("nobody can have the name of its operator")
    opened = tuple(chain.opened(one) for one in kept)
    problems = archive.replay_problems(
        walk, opened, text, lambda sha256: _checklist(connection, sha256)
    )
    if problems:
        raise SyncError(f"it does not hold together: {problems[0]}")


def _checklist(connection: Connection, sha256: str) -> str | None:
    query = select(checklists.c.text).where(checklists.c.sha256 == sha256)
    text = connection.execute(query).scalar()
    if text is None or hashlib.sha256(str(text).encode()).hexdigest() != sha256:
        return None
    return str(text)


def _check_unit(unit: str) -> None:
    if unit_id(unit) != unit:
        raise SyncError("no unit can have that name")


def _write(
    connection: Connection,
    walk: WalkRow,
    *,
    new: Sequence[StoredEntry],
    is_new: bool,
    text: str,
) -> None:
    values = check_fit(walks, rows.walk_values(walk))
    if is_new:
        connection.execute(insert(walks).values(**values))
        registration.know_unit(connection, walk.unit, walk.checklist)
    else:
        connection.execute(
            update(walks).where(walks.c.walk_id == walk.walk_id).values(**values)
        )
    if new:
        sealed = [check_fit(entries, rows.entry_values(one)) for one in new]
        connection.execute(insert(entries), sealed)
    if walk.record is not None:
        # Its findings come as the defects that they opened at the near end.
        row = check_fit(records, rows.record_values(walk.record))
        connection.execute(insert(records).values(**row))
        kept = check_fit(record_texts, {"record_id": walk.walk_id, "text": text})
        connection.execute(insert(record_texts).values(**kept))
        registration.keep_hour_meter(connection, walk, archive.document_of(text))


def was_purged(connection: Connection, walk_id: str) -> bool:
    """Tell whether a walk was thrown away here by the rules of keeping."""
    query = select(purged.c.walk_id).where(purged.c.walk_id == walk_id)
    return connection.execute(query).first() is not None


def _take_defect(connection: Connection, parcel: DefectParcel) -> Receipt:
    defect_id, story = parcel.defect_id, parcel.story
    if not story:
        raise SyncError("it came without any event")
    query = select(defect_events.c.sha256).where(defect_events.c.defect_id == defect_id)
    have = set(connection.execute(query).scalars())
    if not have and _all_purged(connection, story):
        return _UNCHANGED
    new = [one for one in story if one.sha256 not in have]
    if have:
        defect_rows.happenings(connection, defect_id)  # what is here must hold too
    if not new:
        return _UNCHANGED
    for one in new:
        check_fit(defect_events, defect_rows.event_values(one))
    defect = defect_rows.folded(connection, new)
    _check_unit(defect.unit)
    check_fit(defects, defect_rows.defect_values(defect))
    defect_rows.add(connection, new)
    defect_rows.happenings(connection, defect_id)
    return Receipt(fate=Fate.KEPT)


def _all_purged(connection: Connection, story: Sequence[Happening]) -> bool:
    seen = {
        one.event.sighting.walk_id for one in story if hasattr(one.event, "sighting")
    }
    return bool(seen) and all(was_purged(connection, walk_id) for walk_id in seen)
