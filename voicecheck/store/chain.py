"""The chain of hashes that ties the entries of a walk together.

Each entry's hash covers its walk, number, time, kind, payload and the hash of
the entry before, so an altered, removed, added or moved entry breaks the chain
at that place. The list of walks also remembers the newest entry (the head), so
that entries missing at the end are noticed, and every finished record carries
the head in its own file.

What this cannot show: somebody with write access to the database who alters an
entry, works out all later hashes again and writes the new head, or who removes
a whole walk, leaves a journal that fits together. It then no longer fits a
record that was exported before; without such a copy elsewhere nothing tells.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from voicecheck.clock import utc_text
from voicecheck.errors import JournalDamaged, JournalError, RecordNotFound
from voicecheck.record.canonical import canonical, sha256_of
from voicecheck.record.steps import JournalEvent, JournalHead
from voicecheck.round.events import How, WalkStarted
from voicecheck.store.ports import Entry, RecordRow, WalkRow
from voicecheck.store.wire import (
    event_from_json,
    event_to_json,
    how_from_json,
    how_to_json,
)

FIRST_PREVIOUS = "0" * 64


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredEntry:
    """An entry as it is kept, its payload still text."""

    walk_id: str
    seq: int
    at_utc: str
    kind: str
    payload: str
    """Canonical JSON: {"event": …, "how": … or null}."""
    previous_sha256: str
    sha256: str

    def expected_sha256(self) -> str:
        """Return the hash that this entry must have."""
        return sha256_of(
            {
                "walk_id": self.walk_id,
                "seq": self.seq,
                "at_utc": self.at_utc,
                "kind": self.kind,
                "payload": self.payload,
                "previous_sha256": self.previous_sha256,
            }
        )

    def sealed(self) -> StoredEntry:
        """Return the entry with the hash that it must have."""
        return replace(self, sha256=self.expected_sha256())


def seal(
    walk_id: str,
    event: JournalEvent,
    *,
    at_utc: str,
    how: How | None,
    previous: JournalHead | None,
) -> StoredEntry:
    """Return the entry that comes after `previous`; None: the first one.

    Raises:
        JournalError: the event holds something that cannot be kept.
    """
    event_data = event_to_json(event)
    payload_data = {"event": event_data, "how": how_to_json(how) if how else None}
    try:
        payload = canonical(payload_data).decode()
    except ValueError as error:
        raise JournalError(f"this event cannot be kept: {error}") from error
    if previous is None:
        previous = JournalHead(seq=0, sha256=FIRST_PREVIOUS)
    unsealed = StoredEntry(
        walk_id=walk_id,
        seq=previous.seq + 1,
        at_utc=at_utc,
        kind=event_data["type"],
        payload=payload,
        previous_sha256=previous.sha256,
        sha256="",
    )
    return unsealed.sealed()


def next_entry(
    walk_id: str,
    walk: WalkRow | None,
    event: JournalEvent,
    *,
    at: datetime,
    how: How | None,
    after: JournalHead | None,
) -> StoredEntry:
    """Return the entry to add to a walk, after all that can forbid it was checked.

    Args:
        walk_id: the walk.
        walk: its place in the list of walks; None when it is new.
        event: what to add.
        at: when it happened.
        how: how an answer came in.
        after: the head that the caller knows, or None.

    Raises:
        JournalError: the event may not be added.
    """
    if isinstance(event, WalkStarted) != (walk is None):
        if walk is None:
            raise JournalError(f"walk {walk_id} has not begun: start it first")
        raise JournalError(f"walk {walk_id} has begun already; start a new one")
    if walk is not None and walk.record is not None:
        raise JournalError(f"walk {walk_id} has its record; start a new walk")
    if walk is not None and after is not None and after != walk.head:
        raise JournalError(
            f"another voicecheck has written to walk {walk_id}; "
            "close the other one, then resume the walk"
        )
    return seal(
        walk_id,
        event,
        at_utc=utc_text(at),
        how=how,
        previous=None if walk is None else walk.head,
    )


def walk_after(
    walk: WalkRow | None, event: JournalEvent, entry: StoredEntry
) -> WalkRow:
    """Return a walk's place in the list of walks once the entry is added."""
    head = JournalHead(seq=entry.seq, sha256=entry.sha256)
    if walk is not None:
        return replace(walk, last_utc=entry.at_utc, head=head)
    assert isinstance(event, WalkStarted)
    return WalkRow(
        walk_id=entry.walk_id,
        unit=event.unit,
        operator=event.operator,
        checklist=event.checklist,
        checklist_version=event.checklist_version,
        checklist_sha256=event.checklist_sha256,
        started_utc=entry.at_utc,
        last_utc=entry.at_utc,
        head=head,
    )


def check_record(walk: WalkRow | None, record: RecordRow) -> None:
    """Say why a record cannot be registered.

    Raises:
        RecordNotFound: its walk is not there.
        JournalError: the walk has another record, or has gone on since.
    """
    if walk is None:
        raise no_such_walk(record.record_id)
    if walk.record is not None and walk.record != record:
        raise JournalError(f"walk {walk.walk_id} has its record already")
    if walk.head != record.head:
        raise JournalError(
            f"walk {walk.walk_id} went on after its record was made; "
            "resume the walk to make it again"
        )


def no_such_walk(walk_id: str) -> RecordNotFound:
    """Return the error for a walk that is not in the journal."""
    return RecordNotFound(
        f"there is no walk {walk_id}; `voicecheck records list` shows all"
    )


def opened(stored: StoredEntry) -> Entry:
    """Return a stored entry with its payload as values.

    Raises:
        JournalDamaged: the payload is not what the journal writes.
    """
    try:
        payload: Any = json.loads(stored.payload)
        event_data, how_data = payload["event"], payload["how"]
        kind = event_data["type"]
    except (ValueError, TypeError, KeyError) as error:
        raise JournalDamaged(
            f"entry {stored.seq} of walk {stored.walk_id} cannot be read"
        ) from error
    if kind != stored.kind:
        raise JournalDamaged(
            f"entry {stored.seq} of walk {stored.walk_id} says it is {stored.kind} "
            f"but holds {kind}"
        )
    return Entry(
        walk_id=stored.walk_id,
        seq=stored.seq,
        at_utc=stored.at_utc,
        event=event_from_json(event_data),
        how=None if how_data is None else how_from_json(how_data),
        previous_sha256=stored.previous_sha256,
        sha256=stored.sha256,
    )
