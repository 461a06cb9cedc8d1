"""Finished records: find them, read them, and check them against the journal."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from voicecheck import __version__
from voicecheck.errors import JournalDamaged, RecordNotFound, UsageError
from voicecheck.record.canonical import sha256_of
from voicecheck.record.document import FORMAT, record_document, to_text
from voicecheck.record.steps import SittingBegan
from voicecheck.round.checklist import Checklist
from voicecheck.round.record import content
from voicecheck.round.walk import Walk
from voicecheck.store.ports import Entry, Journal, RecordRow, WalkRow
from voicecheck.store.session import record_name, replayed
from voicecheck.store.wire import checklist_from_text

LEAST_PREFIX = 4
"""Characters of an id that may stand for the whole of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """What was found when a walk was checked."""

    walk_id: str
    entries: int
    status: str
    """signed, declined, stopped, unfinished, or damaged when anything is wrong."""
    problems: tuple[str, ...]

    @property
    def ok(self) -> bool:
        """Tell whether nothing was found to be wrong."""
        return not self.problems


def find(journal: Journal, prefix: str) -> str:
    """Return the id of the walk whose id begins like this.

    Raises:
        UsageError: too short, or more than one walk begins so.
        RecordNotFound: none does.
    """
    wanted = prefix.strip().lower()
    if len(wanted) < LEAST_PREFIX:
        raise UsageError(f"give at least {LEAST_PREFIX} characters of the id")
    found = [walk_id for walk_id in journal.ids() if walk_id.startswith(wanted)]
    if not found:
        raise RecordNotFound(
            f"no record begins with {prefix!r}; `voicecheck records list --all` "
            "shows all"
        )
    if len(found) > 1:
        ids = ", ".join(found[:3])
        raise UsageError(
            f"{len(found)} records begin with {prefix!r}: {ids}; give more of the id"
        )
    return found[0]


def read_record(folder: Path, row: WalkRow, journal: Journal | None = None) -> bytes:
    """Return the bytes of a finished record's file, just as it was written.

    Args:
        folder: the home folder.
        row: the walk's place in the list of walks.
        journal: keeps the text of records that were made on another device.

    Raises:
        RecordNotFound: the walk has no record yet.
        JournalDamaged: its file is gone or was altered.
    """
    if row.record is None:
        raise RecordNotFound(
            f"the walk {row.walk_id} on {row.unit} has no record yet; go on with "
            f'`voicecheck walk --resume --unit "{row.unit}"`'
        )
    path = folder / record_name(row.walk_id)
    if journal is not None and not path.exists():
        kept = journal.record_text(row.walk_id)
        if kept is not None:
            check_text(kept, row.record)
            return kept.encode()
    try:
        data = path.read_bytes()
    except OSError as error:
        raise JournalDamaged(
            f"the record's file {path} cannot be read: {error.strerror or error}"
        ) from error
    if hashlib.sha256(data).hexdigest() != row.record.file_sha256:
        raise JournalDamaged(f"the record's file {path} was altered")
    return data


def check_text(text: str, record: RecordRow) -> None:
    """Hold the kept text of a record against its hash.

    Raises:
        JournalDamaged: it was altered.
    """
    if hashlib.sha256(text.encode()).hexdigest() != record.file_sha256:
        raise JournalDamaged(f"the kept record {record.record_id} was altered")


def document_of(text: str) -> dict[str, Any]:
    """Return the text of a record as JSON data."""
    document: dict[str, Any] = json.loads(text)
    return document


def check(journal: Journal, folder: Path, walk_id: str, row: WalkRow | None) -> Check:
    """Check a walk's chain, and its record against a replay of the journal.

    Args:
        journal: the journal.
        folder: the home folder, where records lie.
        walk_id: the whole id of a walk.
        row: its place in the list of walks; None when it is not there.

    Raises:
        RecordNotFound: there is no such walk.
    """
    found = journal.verify(walk_id)
    problems = list(found.problems)
    status = "damaged"
    if found.ok and row is not None:
        try:
            status, more = _looked_at(journal, folder, row, journal.entries(walk_id))
            problems += more
        except JournalDamaged as error:
            problems.append(str(error))
    return Check(
        walk_id=walk_id,
        entries=found.entries,
        status="damaged" if problems else status,
        problems=tuple(problems),
    )


def _looked_at(
    journal: Journal, folder: Path, row: WalkRow, entries: Sequence[Entry]
) -> tuple[str, list[str]]:
    """Return the status of a walk whose chain holds, and what does not fit."""
    if _only_begun(row, entries):
        return "unfinished", []
    walk = _replay(journal.checklist_text, entries)
    if row.record is None:
        return walk.phase.value if walk.over else "unfinished", []
    data = read_record(folder, row, journal) if walk.over else b""
    return walk.phase.value, _record_problems(data, row, walk, entries)


def _only_begun(row: WalkRow, entries: Sequence[Entry]) -> bool:
    """Tell whether the program died before it took the new walk in hand.

    The second entry names the checklist, without which nothing can be replayed.
    """
    return len(entries) == 1 and row.record is None


def replay_problems(
    row: WalkRow,
    entries: Sequence[Entry],
    text: str,
    checklist_text: Callable[[str], str | None],
) -> list[str]:
    """Walk a walk again and hold its record against it; say what does not fit.

    Args:
        row: its place in the list of walks.
        entries: all of its journal, whose chain holds.
        text: of its record's file, if the row has a record.
        checklist_text: gives the kept text of a checklist by its hash.
    """
    if _only_begun(row, entries):
        return []
    try:
        walk = _replay(checklist_text, entries)
        if row.record is None:
            return []
        check_text(text, row.record)
    except JournalDamaged as error:
        return [str(error)]
    return _record_problems(text.encode(), row, walk, entries)


def stray_records(journal: Journal, folder: Path) -> tuple[Path, ...]:
    """Return files of records that the journal knows nothing of."""
    known = {row.record.record_id for row in journal.walks() if row.record}
    files = sorted((folder / "records").glob("*.json"))
    return tuple(path for path in files if path.stem not in known)


def _replay(
    checklist_text: Callable[[str], str | None], entries: Sequence[Entry]
) -> Walk:
    """Walk the walk again on the checklist that was kept with it."""
    for entry in entries:
        if isinstance(entry.event, SittingBegan):
            text = checklist_text(entry.event.checklist_text_sha256)
            if text is not None:
                return replayed(_read_checklist(text), entries)
    raise JournalDamaged("the checklist of this walk is not kept")


@lru_cache(maxsize=8)
def _read_checklist(text: str) -> Checklist:
    """A store has many walks on few checklists."""
    return checklist_from_text(text)


def _record_problems(
    data: bytes, row: WalkRow, walk: Walk, entries: Sequence[Entry]
) -> list[str]:
    if not walk.over:
        return ["there is a record, but the journal ends before the walk does"]
    try:
        document = json.loads(data)
    except ValueError:
        return ["the record's file is not JSON"]
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        return [f"the record's file is not of the format {FORMAT}"]
    return [
        sentence
        for is_wrong, sentence in _comparisons(row, document, walk, entries)
        if is_wrong
    ]


def _comparisons(
    row: WalkRow, document: dict[str, Any], walk: Walk, entries: Sequence[Entry]
) -> list[tuple[bool, str]]:
    """Hold the file, the list of walks and the replayed walk against each other."""
    record = row.record
    assert record is not None
    replayed_content = content(walk)
    replayed_sha256 = sha256_of(replayed_content)
    kept = document.get("content")
    return [
        (
            document.get("record_id") != row.walk_id,
            "the record says that it is of another walk",
        ),
        (
            document.get("content_sha256") != _hash_of(kept),
            "the content of the record does not have the hash that it says",
        ),
        (
            (kept, _hash_of(kept)) != (replayed_content, replayed_sha256),
            "the content of the record is not what the journal says",
        ),
        (
            record.content_sha256 != replayed_sha256,
            "the list of walks remembers another content",
        ),
        (
            (record.status, record.outcome)
            != (walk.phase.value, walk.decision.outcome.value),
            "the list of walks remembers another end or decision",
        ),
        (
            _was_made_by_us(entries)
            and document != json.loads(to_text(_again(row, walk, entries))),
            "the record says otherwise than the journal beside its content",
        ),
    ]


def _hash_of(kept: Any) -> str:
    """The hash of a content; empty when it is nothing that could be hashed."""
    try:
        return sha256_of(kept)
    except ValueError:
        return ""


def _was_made_by_us(entries: Sequence[Entry]) -> bool:
    """Tell whether this version made the record: others may word it otherwise."""
    versions = [
        entry.event.tool_version
        for entry in entries
        if isinstance(entry.event, SittingBegan)
    ]
    return versions[-1:] == [__version__]


def _again(row: WalkRow, walk: Walk, entries: Sequence[Entry]) -> dict[str, Any]:
    return record_document(row.walk_id, walk, entries, entries[-1].head)
