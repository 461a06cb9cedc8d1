"""A journal that is gone when the program ends."""

from __future__ import annotations

import hashlib
import json
import uuid
from dataclasses import replace
from datetime import datetime
from typing import Any

from voicecheck.defects.steps import written
from voicecheck.defects.story import Defect, Happening, fold
from voicecheck.errors import JournalDamaged
from voicecheck.record.steps import JournalEvent, JournalHead
from voicecheck.round.events import How
from voicecheck.store import chain, verification
from voicecheck.store.findings import ANONYMOUS, findings_of
from voicecheck.store.ports import Entry, RecordRow, Verification, WalkRow


class MemoryJournal:
    """A `voicecheck.store.ports.Journal` in memory.

    What it holds is open to tests that want to damage it.
    """

    def __init__(self) -> None:
        self.listed: dict[str, WalkRow] = {}
        self.stored: dict[str, list[chain.StoredEntry]] = {}
        self.checklists: dict[str, str] = {}
        self.texts: dict[str, str] = {}
        self.stories: dict[str, list[Happening]] = {}

    def append(
        self,
        walk_id: str,
        event: JournalEvent,
        *,
        at: datetime,
        how: How | None = None,
        after: JournalHead | None = None,
    ) -> Entry:
        """Add an event; see `Journal.append`."""
        walk = self.listed.get(walk_id)
        stored = chain.next_entry(walk_id, walk, event, at=at, how=how, after=after)
        self.listed[walk_id] = chain.walk_after(walk, event, stored)
        self.stored.setdefault(walk_id, []).append(stored)
        return chain.opened(stored)

    def entries(self, walk_id: str) -> tuple[Entry, ...]:
        """Return all entries of a walk; see `Journal.entries`."""
        return verification.entries(walk_id, *self._kept(walk_id))

    def walks(self) -> tuple[WalkRow, ...]:
        """Return all walks, the newest first."""
        by_id = sorted(self.listed.values(), key=lambda walk: walk.walk_id)
        return tuple(sorted(by_id, key=lambda walk: walk.started_utc, reverse=True))

    def unfinished(self, unit: str) -> tuple[WalkRow, ...]:
        """Return the walks of a unit without a record; see `Journal.unfinished`."""
        return tuple(
            row for row in self.walks() if row.unit == unit and row.record is None
        )

    def ids(self) -> tuple[str, ...]:
        """Return the ids of all walks that anything is kept of."""
        return tuple(sorted(set(self.listed) | set(self.stored)))

    def verify(self, walk_id: str) -> Verification:
        """Check the chain of a walk; see `Journal.verify`."""
        return verification.verify(walk_id, *self._kept(walk_id))

    def keep_checklist(self, text: str) -> str:
        """Keep a checklist's text and return its SHA-256."""
        sha256 = hashlib.sha256(text.encode()).hexdigest()
        self.checklists[sha256] = text
        return sha256

    def checklist_text(self, sha256: str) -> str | None:
        """Return a kept text, or None; see `Journal.checklist_text`."""
        text = self.checklists.get(sha256)
        if text is not None and hashlib.sha256(text.encode()).hexdigest() != sha256:
            raise JournalDamaged(f"the kept checklist {sha256[:12]} was altered")
        return text

    def register(self, record: RecordRow, document: str = "") -> None:
        """Remember a finished record; see `Journal.register`."""
        walk = self.listed.get(record.record_id)
        chain.check_record(walk, record)
        if walk is not None and walk.record is None:
            self.listed[record.record_id] = replace(walk, record=record)
            if document:
                self.texts[record.record_id] = document
                self._keep_findings(walk, json.loads(document))

    def record_text(self, record_id: str) -> str | None:
        """Return the kept text of a record, or None; see `Journal.record_text`."""
        return self.texts.get(record_id)

    def open_defects(self, unit: str) -> tuple[Defect, ...]:
        """Return the open defects of a unit; see `Journal.open_defects`."""
        every = (fold(story) for story in self.stories.values())
        found = [one for one in every if one.unit == unit and one.open]
        found.sort(key=lambda one: (-one.severity.rank, one.found_utc, one.defect_id))
        return tuple(found)

    def close(self) -> None:
        """Do nothing: there is nothing to let go of."""

    def _keep_findings(self, walk: WalkRow, document: dict[str, Any]) -> None:
        there = {one.checkpoint_id: one for one in self.open_defects(walk.unit)}
        for found in findings_of(document):
            at_utc, by = walk.last_utc, walk.operator or ANONYMOUS
            if found.checkpoint_id not in there:
                defect_id = str(uuid.uuid4())
                first = found.opening(walk.unit)
                one = written(defect_id, first, at_utc=at_utc, by=by)
                self.stories[defect_id] = [one]
                continue
            story = self.stories[there[found.checkpoint_id].defect_id]
            again, known = found.again(), (story[-1],)
            story.append(
                written(story[0].defect_id, again, at_utc=at_utc, by=by, known=known)
            )

    def _kept(self, walk_id: str) -> tuple[WalkRow | None, list[chain.StoredEntry]]:
        walk = self.listed.get(walk_id)
        stored = self.stored.get(walk_id, [])
        if walk is None and not stored:
            raise chain.no_such_walk(walk_id)
        return walk, stored
