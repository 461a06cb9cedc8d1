"""What the rest of voicecheck asks of a journal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from voicecheck.defects.story import Defect
from voicecheck.record.steps import JournalEvent, JournalHead
from voicecheck.round.events import How


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One event in the journal, with its place in the chain of hashes."""

    walk_id: str
    seq: int
    """1 for the first entry of a walk, then without a gap."""
    at_utc: str
    """ISO 8601 with milliseconds and Z."""
    event: JournalEvent
    how: How | None
    """How an answer came in; None for events that are no answers."""
    previous_sha256: str
    """Hash of the entry before; 64 zeros for the first."""
    sha256: str
    """Hash over all of the above."""

    @property
    def head(self) -> JournalHead:
        """This entry as the head of its walk's journal."""
        return JournalHead(seq=self.seq, sha256=self.sha256)


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkRow:
    """One walk in the list of walks."""

    walk_id: str
    unit: str
    operator: str
    checklist: str
    checklist_version: str
    checklist_sha256: str
    started_utc: str
    last_utc: str
    """When its newest entry was written."""
    head: JournalHead
    """The newest entry, as the list of walks remembers it."""
    record: RecordRow | None = None
    """The finished record; None while there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordRow:
    """A finished record, as the database remembers it."""

    record_id: str
    """The id of its walk."""
    path: str
    """Where the record was written."""
    content_sha256: str
    file_sha256: str
    """Of the record's file, byte by byte."""
    status: str
    """How the walk ended: signed, declined or stopped."""
    outcome: str
    """The decision."""
    head: JournalHead
    """The head of the walk's journal when the record was made."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification:
    """What a look at the chain of one walk has shown."""

    walk_id: str
    entries: int
    """How many entries there are."""
    problems: tuple[str, ...] = ()
    """One sentence for each thing that does not fit; empty: all is well."""

    @property
    def ok(self) -> bool:
        """Tell whether nothing was found to be wrong."""
        return not self.problems


class Journal(Protocol):
    """An append-only list of events for each walk.

    Every method raises `JournalError` when the journal cannot be read or
    written, and `JournalDamaged` when what it holds does not fit together.
    """

    def append(
        self,
        walk_id: str,
        event: JournalEvent,
        *,
        at: datetime,
        how: How | None = None,
        after: JournalHead | None = None,
    ) -> Entry:
        """Add an event; when this returns, the event is kept durably.

        Args:
            walk_id: the walk; `WalkStarted` begins a new one.
            event: what has happened.
            at: when, aware of its time zone.
            how: how an answer came in.
            after: the head that the caller knows; when another process has
                written to this walk in between, nothing is added.

        Raises:
            JournalError: not written at all, for the reason that it says.
        """
        ...

    def entries(self, walk_id: str) -> tuple[Entry, ...]:
        """Return all entries of a walk in order.

        Raises:
            RecordNotFound: there is no such walk.
            JournalDamaged: the chain does not hold.
        """
        ...

    def walks(self) -> tuple[WalkRow, ...]:
        """Return all walks, the newest first."""
        ...

    def unfinished(self, unit: str) -> tuple[WalkRow, ...]:
        """Return the walks of a unit that have no record, the newest first."""
        ...

    def ids(self) -> tuple[str, ...]:
        """Return the ids of all walks, those included that lost their place in
        the list of walks."""
        ...

    def verify(self, walk_id: str) -> Verification:
        """Look for altered, removed, added, reordered and cut-off entries.

        Raises:
            RecordNotFound: there is no such walk.
        """
        ...

    def keep_checklist(self, text: str) -> str:
        """Keep a checklist's text and return its SHA-256."""
        ...

    def checklist_text(self, sha256: str) -> str | None:
        """Return a kept text, or None.

        Raises:
            JournalDamaged: the text no longer has that hash.
        """
        ...

    def register(self, record: RecordRow, document: str = "") -> None:
        """Remember a finished record; after that its walk takes no more events.

        What it has found joins the open defect at the same checkpoint of the
        unit, or opens one, in the same transaction.

        Args:
            record: what to remember.
            document: the text of the record's file; empty: nothing is found.
        """
        ...

    def record_text(self, record_id: str) -> str | None:
        """Return the kept text of a record's file, or None."""
        ...

    def open_defects(self, unit: str) -> tuple[Defect, ...]:
        """Return the open defects of a unit, the worst first, then the oldest."""
        ...

    def close(self) -> None:
        """Let go of files and connections."""
        ...
