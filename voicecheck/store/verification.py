"""Does the chain of a walk hold? See `chain` for what it can and cannot show."""

from __future__ import annotations

from collections.abc import Sequence

from voicecheck.errors import JournalDamaged
from voicecheck.round.events import WalkStarted
from voicecheck.store.chain import FIRST_PREVIOUS, StoredEntry, opened
from voicecheck.store.ports import Entry, Verification, WalkRow


def verify(
    walk_id: str, walk: WalkRow | None, stored: Sequence[StoredEntry]
) -> Verification:
    """Check the chain of one walk against itself and against the list of walks.

    Args:
        walk_id: the walk.
        walk: its place in the list of walks; None when it is not there.
        stored: its entries, by number.
    """
    problems: list[str] = []
    previous = FIRST_PREVIOUS
    for place, entry in enumerate(stored, start=1):
        problems.extend(_entry_problems(entry, place, previous))
        previous = entry.sha256
    problems.extend(_head_problems(walk, stored))
    return Verification(walk_id=walk_id, entries=len(stored), problems=tuple(problems))


def entries(
    walk_id: str, walk: WalkRow | None, stored: Sequence[StoredEntry]
) -> tuple[Entry, ...]:
    """Return the entries of a walk whose chain holds.

    Raises:
        JournalDamaged: it does not hold.
    """
    found = verify(walk_id, walk, stored)
    if not found.ok:
        raise JournalDamaged(
            f"the journal of walk {walk_id} was altered: {found.problems[0]}; "
            "keep the file as it is and show it to whoever answers for records"
        )
    return tuple(opened(entry) for entry in stored)


def _entry_problems(entry: StoredEntry, place: int, previous: str) -> list[str]:
    problems = []
    if entry.seq != place:
        problems.append(f"entry {place} is missing, number {entry.seq} is in its place")
    if entry.previous_sha256 != previous:
        problems.append(f"entry {entry.seq} does not follow the entry before it")
    try:
        fits = entry.sha256 == entry.expected_sha256()
    except ValueError:
        fits = False
    if not fits:
        problems.append(f"entry {entry.seq} was altered: its hash does not fit")
        return problems
    try:
        opened(entry)
    except JournalDamaged as error:
        problems.append(str(error))
    return problems


def _head_problems(walk: WalkRow | None, stored: Sequence[StoredEntry]) -> list[str]:
    if walk is None:
        return ["the walk is missing in the list of walks"]
    if not stored:
        return [f"all {walk.head.seq} entries are missing"]
    problems = []
    last = stored[-1]
    if last.seq < walk.head.seq:
        problems.append(
            f"entries {last.seq + 1} to {walk.head.seq} are missing at the end"
        )
    elif (last.seq, last.sha256) != (walk.head.seq, walk.head.sha256):
        problems.append("the newest entry is not the one the list of walks remembers")
    if walk.record is not None and walk.record.head != walk.head:
        problems.append("the journal goes on, or ends, elsewhere than its record says")
    return problems + _start_problems(walk, stored[0])


def _start_problems(walk: WalkRow, first: StoredEntry) -> list[str]:
    """The list of walks repeats what the first entry says; hold them together."""
    try:
        event = opened(first).event
    except JournalDamaged:
        return []  # reported with the entry itself
    if not isinstance(event, WalkStarted):
        return ["the first entry does not begin a walk"]
    listed = (
        walk.unit,
        walk.operator,
        walk.checklist,
        walk.checklist_version,
        walk.checklist_sha256,
        walk.started_utc,
    )
    said = (
        event.unit,
        event.operator,
        event.checklist,
        event.checklist_version,
        event.checklist_sha256,
        first.at_utc,
    )
    if listed != said:
        return ["the list of walks says otherwise than the first entry"]
    return []
