"""What the far end of a push lacks of a walk or a defect, as parcels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from sqlalchemy import select

from voicecheck import settings
from voicecheck.defects.story import Happening
from voicecheck.errors import JournalDamaged, RecordNotFound, SyncError
from voicecheck.record.steps import JournalHead
from voicecheck.store import archive, defect_rows, rows, verification
from voicecheck.store.chain import StoredEntry
from voicecheck.store.database import Database
from voicecheck.store.far_end import (
    ChecklistParcel,
    DefectParcel,
    FarWalk,
    Have,
    Parcel,
    UnitParcel,
    WalkParcel,
)
from voicecheck.store.ports import WalkRow
from voicecheck.store.tables import record_texts

_ENTRY_EXTRA = 250
"""Characters of an entry or event beside its payload, on the way."""


def characters(parcel: Parcel) -> int:
    """Return roughly how much a parcel weighs on the way."""
    match parcel:
        case ChecklistParcel():
            return len(parcel.text)
        case UnitParcel():
            return _ENTRY_EXTRA
        case DefectParcel():
            return sum(
                _ENTRY_EXTRA + len(repr(one.event)) + 64 * len(one.previous)
                for one in parcel.story
            )
        case WalkParcel():
            return (
                3 * _ENTRY_EXTRA
                + len(parcel.record_text)
                + sum(map(_weight, parcel.entries))
            )


def defect_parcels(near: Database, defect_id: str, have: Have) -> list[Parcel]:
    """Return the events that the far end may lack: all but those it must know.

    Raises:
        JournalDamaged: the story was altered here.
    """
    heads = have.defects.get(defect_id, ())
    with near.reading() as connection:
        story = defect_rows.happenings(connection, defect_id)
    new = _beyond(story, heads)
    return [DefectParcel(defect_id=defect_id, story=new)] if new else []


def _beyond(story: Sequence[Happening], heads: Sequence[str]) -> tuple[Happening, ...]:
    """The events that are neither among the heads nor known to one of them."""
    by_hash = {one.sha256: one for one in story}
    known: set[str] = set()
    left = [sha256 for sha256 in heads if sha256 in by_hash]
    while left:
        sha256 = left.pop()
        if sha256 not in known:
            known.add(sha256)
            left += by_hash[sha256].previous
    return tuple(one for one in story if one.sha256 not in known)


def walk_parcels(
    near: Database, walk_id: str, have: Have, folder: Path | None, most: int
) -> list[Parcel]:
    """Return what the far end lacks of a walk: entries in pieces, then the record.

    Args:
        near: where the walk is.
        walk_id: the walk.
        have: what the far end told of it.
        folder: home folder, for a record whose text is in a file only.
        most: characters of one piece, roughly.

    Raises:
        SyncError: its chain or record does not hold here, or it went on in two
            places.
    """
    there = have.walks.get(walk_id)
    if walk_id in have.purged:
        return []
    with near.reading() as connection:
        walk, ours = rows.stored_walk(connection, walk_id)
    if walk is None:
        return []  # it was thrown away here in the meantime
    if there is not None and _same(walk, there):
        return []
    found = verification.verify(walk_id, walk, ours)
    if not found.ok:
        raise SyncError(f"its chain does not hold here: {found.problems[0]}")
    text = _record_text(near, walk, folder)
    first = 0
    if there is not None and there.head.seq <= len(ours):
        first = there.head.seq
        if ours[first - 1].sha256 != there.head.sha256:
            raise SyncError(
                "it went on in two places; both are kept: this one here, the other "
                "one at the far end"
            )
    # a far end that has more is given our head alone, and says if it lies on its way
    pieces = _pieces(ours[first:] if first or there is None else [], most)
    return [
        *(_piece(walk, piece) for piece in pieces[:-1]),
        WalkParcel(walk=walk, entries=tuple(pieces[-1]), record_text=text),
    ]


def _same(walk: WalkRow, there: FarWalk) -> bool:
    record = walk.record
    return (there.head, there.file_sha256) == (
        walk.head,
        record.file_sha256 if record else None,
    )


def _pieces(entries: Sequence[StoredEntry], most: int) -> list[list[StoredEntry]]:
    """Cut entries into pieces of not too many characters; one piece at least."""
    pieces: list[list[StoredEntry]] = [[]]
    size = 0
    for entry in entries:
        if pieces[-1] and size + _weight(entry) > most:
            pieces.append([])
            size = 0
        pieces[-1].append(entry)
        size += _weight(entry)
    return pieces


def _weight(entry: StoredEntry) -> int:
    return _ENTRY_EXTRA + len(entry.payload)


def _piece(walk: WalkRow, entries: Sequence[StoredEntry]) -> WalkParcel:
    """A walk as it was after some of its entries, when it had no record yet."""
    last = entries[-1]
    as_it_was = replace(
        walk,
        last_utc=last.at_utc,
        head=JournalHead(seq=last.seq, sha256=last.sha256),
        record=None,
    )
    return WalkParcel(walk=as_it_was, entries=tuple(entries), record_text="")


def _record_text(near: Database, walk: WalkRow, folder: Path | None) -> str:
    if walk.record is None:
        return ""
    query = select(record_texts.c.text).where(record_texts.c.record_id == walk.walk_id)
    with near.reading() as connection:
        kept = connection.execute(query).scalar()
    try:
        if kept is not None:
            archive.check_text(str(kept), walk.record)
            return str(kept)
        return archive.read_record(folder or settings.home(), walk).decode()
    except (JournalDamaged, RecordNotFound) as error:
        raise SyncError(f"its record cannot be brought over: {error}") from error
