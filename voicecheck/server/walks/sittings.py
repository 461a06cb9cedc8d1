"""All walks that this server has in hand."""

from __future__ import annotations

import threading
from collections import OrderedDict
from pathlib import Path

from voicecheck.clock import Clock
from voicecheck.errors import JournalDamaged
from voicecheck.record.steps import SittingBegan
from voicecheck.round.checklist import Checklist
from voicecheck.server import words
from voicecheck.server.walks.sitting import MODE, Sitting
from voicecheck.store.ports import Entry, Journal, WalkRow
from voicecheck.store.session import WalkSession
from voicecheck.store.wire import checklist_from_text

MOST = 100
"""Walks kept in memory; the one left alone longest goes first, and can be taken
up again from the journal."""


class Sittings:
    """Begin walks, take them up, and find those in hand."""

    def __init__(self, journal: Journal, clock: Clock, folder: Path) -> None:
        self._journal = journal
        self._clock = clock
        self._folder = folder
        self._held: OrderedDict[str, Sitting] = OrderedDict()
        self._lock = threading.Lock()

    def begin(
        self, checklist: Checklist, *, unit: str, operator: str, language: str
    ) -> Sitting:
        """Begin a new walk.

        Raises:
            UsageError: the unit or operator has characters it cannot have.
            JournalError: nothing has begun.
        """
        session = WalkSession.start(
            self._journal,
            self._clock,
            checklist,
            unit=unit,
            operator=operator,
            language=language,
            mode=MODE,
            folder=self._folder,
        )
        return self._hold(Sitting(session, language, self._clock))

    def take_up(self, row: WalkRow) -> Sitting:
        """Take up a walk that was left, on the checklist that was kept with it.

        Raises:
            RecordNotFound: it has a record already.
            JournalError: it could not be taken up; nothing is lost.
        """
        checklist, language = kept_checklist(self._journal, row.walk_id)
        session = WalkSession.resume(
            self._journal,
            self._clock,
            checklist,
            unit=row.unit,
            mode=MODE,
            language=language,
            folder=self._folder,
            walk_id=row.walk_id,
        )
        return self._hold(Sitting(session, language, self._clock))

    def find(self, walk_id: str) -> Sitting | None:
        """Return the walk if it is in hand."""
        with self._lock:
            sitting = self._held.get(walk_id)
            if sitting is not None:
                self._held.move_to_end(walk_id)
        return sitting if sitting is not None and sitting.in_hand else None

    def let_go(self, walk_id: str) -> None:
        """Forget a walk here; the journal has it."""
        with self._lock:
            self._held.pop(walk_id, None)

    def _hold(self, sitting: Sitting) -> Sitting:
        with self._lock:
            self._held[sitting.session.walk_id] = sitting
            while len(self._held) > MOST:
                self._held.popitem(last=False)
        return sitting


def kept_checklist(journal: Journal, walk_id: str) -> tuple[Checklist, str]:
    """Return the checklist that a walk was last walked on, and its language.

    Raises:
        RecordNotFound: there is no such walk.
        JournalDamaged: the checklist is not kept, or was altered.
    """
    return checklist_of(journal, journal.entries(walk_id))


def checklist_of(journal: Journal, entries: tuple[Entry, ...]) -> tuple[Checklist, str]:
    """Like `kept_checklist`, from the entries of the walk."""
    for entry in reversed(entries):
        if isinstance(entry.event, SittingBegan):
            text = journal.checklist_text(entry.event.checklist_text_sha256)
            if text is not None:
                return checklist_from_text(text), words.known(entry.event.language)
    raise JournalDamaged(
        "the checklist of this walk is not kept; keep the journal as it is and "
        "start a new walk"
    )
