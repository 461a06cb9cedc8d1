"""A walk that is kept: each event is in the journal before the next prompt."""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from voicecheck import __version__, settings
from voicecheck.clock import Clock
from voicecheck.defects.hold import check_released
from voicecheck.errors import JournalDamaged, RecordNotFound, UsageError, WalkError
from voicecheck.record.document import record_document, to_text
from voicecheck.record.steps import (
    Aside,
    JournalEvent,
    JournalHead,
    NoiseMeasured,
    SittingBegan,
)
from voicecheck.round.checklist import Checklist
from voicecheck.round.events import How, Observed, WalkEvent, WalkStarted
from voicecheck.round.walk import Walk
from voicecheck.store.files import write_atomically
from voicecheck.store.findings import SIMULATED
from voicecheck.store.names import operator_id, unit_id
from voicecheck.store.ports import Entry, Journal, RecordRow, WalkRow
from voicecheck.store.wire import checklist_to_text


def new_walk_id() -> str:
    """Return a random UUID (version 4, RFC 9562)."""
    return str(uuid.uuid4())


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordRef:
    """Where a finished record lies."""

    record_id: str
    path: Path


class WalkSession:
    """One walk, bound to its journal and a clock.

    Make one with `start` or `resume`. Every change goes through `commit`.
    """

    def __init__(
        self,
        journal: Journal,
        clock: Clock,
        walk: Walk,
        walk_id: str,
        *,
        head: JournalHead | None,
        folder: Path | None,
    ) -> None:
        self.walk = walk
        self.walk_id = walk_id
        self._journal = journal
        self._clock = clock
        self._head = head
        self._folder = settings.home() if folder is None else folder

    @classmethod
    def start(
        cls,
        journal: Journal,
        clock: Clock,
        checklist: Checklist,
        *,
        unit: str,
        operator: str = "",
        language: str = "en",
        mode: str = "spoken",
        tool_version: str = __version__,
        folder: Path | None = None,
        new_id: Callable[[], str] = new_walk_id,
    ) -> WalkSession:
        """Begin a walk and keep its beginning.

        Args:
            journal: where events are kept.
            clock: tells the time of each event.
            checklist: what is asked.
            unit: id of the machine.
            operator: id of who walks; may be empty.
            language: of the prompts.
            mode: one of spoken, typed, browser.
            tool_version: of voicecheck.
            folder: where records and clips go; None: `settings.home()`.
            new_id: gives the id of the walk, a UUID.

        Raises:
            UsageError: the unit or operator has characters it cannot have.
            UnitHeld: the unit is out of service and was not released.
            JournalError: the journal cannot be written; nothing has begun.
        """
        if mode != SIMULATED:
            check_released(journal.open_defects(unit_id(unit)))
        started = WalkStarted(
            unit=unit_id(unit),
            operator=operator_id(operator),
            checklist=checklist.name,
            checklist_version=checklist.version,
            checklist_sha256=checklist.sha256,
        )
        walk_id = str(uuid.UUID(new_id()))
        session = cls(
            journal, clock, Walk(checklist), walk_id, head=None, folder=folder
        )
        text_sha256 = journal.keep_checklist(checklist_to_text(checklist))
        session.commit(started)
        session._append(
            SittingBegan(
                mode=mode,
                language=language,
                tool_version=tool_version,
                checklist_text_sha256=text_sha256,
            )
        )
        return session

    @classmethod
    def resume(
        cls,
        journal: Journal,
        clock: Clock,
        checklist: Checklist,
        *,
        unit: str,
        operator: str = "",
        mode: str = "spoken",
        language: str = "en",
        tool_version: str = __version__,
        folder: Path | None = None,
        walk_id: str | None = None,
    ) -> WalkSession:
        """Take up the newest walk of a unit that has no record yet.

        With `walk_id` it is that walk of the unit, or none.

        A walk that was signed just before the program died comes back as well:
        it is over, and only `finish` remains to be done.

        Raises:
            RecordNotFound: the unit has no unfinished walk.
            UnitHeld: the unit was put out of service since.
            UsageError: it has one, with another checklist or of another operator.
            JournalDamaged: the walk's journal was altered.
        """
        name = unit_id(unit)
        rows = (w for w in journal.unfinished(name) if walk_id in (None, w.walk_id))
        row = _unfinished(tuple(rows), checklist, name)
        entries = journal.entries(row.walk_id)
        walk = replayed(checklist, entries)
        _check_operator(walk, operator)
        session = cls(
            journal, clock, walk, row.walk_id, head=entries[-1].head, folder=folder
        )
        if not walk.over:
            if mode != SIMULATED:
                check_released(journal.open_defects(row.unit))
            text = checklist_to_text(checklist)
            session._append(
                SittingBegan(
                    mode=mode,
                    language=language,
                    tool_version=tool_version,
                    checklist_text_sha256=journal.keep_checklist(text),
                )
            )
            if operator and walk.started and not walk.started.operator:
                session.observe("operator_named", detail=operator_id(operator))
        return session

    def commit(self, event: WalkEvent, how: How | None = None) -> Entry:
        """Take in an event: when this returns, it is kept durably.

        Args:
            event: what has happened.
            how: how an answer came in; only with an answer.

        Raises:
            WalkError: the event does not fit; nothing is changed.
            JournalError: it could not be kept; nothing is changed.
        """
        self.walk.check(event)
        entry = self._append(event, how)
        self.walk.apply(event)
        return entry

    def observe(
        self, kind: str, checkpoint_id: str | None = None, detail: str = ""
    ) -> Entry:
        """Keep something that does not change the walk, such as noinput.

        Raises:
            JournalError: it could not be kept.
        """
        return self._append(
            Observed(kind=kind, checkpoint_id=checkpoint_id, detail=detail)
        )

    def keep_noise(self, noise: NoiseMeasured) -> Entry:
        """Keep how loud it was; it does not change the walk.

        Raises:
            JournalError: it could not be kept.
        """
        return self._append(noise)

    def keep_clip(self, wav: bytes) -> str:
        """Keep the sound of a note, named by its content; return its SHA-256.

        Raises:
            JournalError: it could not be written.
        """
        sha256 = hashlib.sha256(wav).hexdigest()
        path = self._folder / "clips" / f"{sha256}.wav"
        if not path.is_file() or path.read_bytes() != wav:
            write_atomically(path, wav)
        return sha256

    def finish(self) -> RecordRef:
        """Write the record of a walk that is over, and remember it.

        Doing it again writes the same record again.

        Raises:
            WalkError: the walk is not over.
            JournalDamaged: the journal was altered since the walk began.
            JournalError: the record could not be written.
        """
        if not self.walk.over:
            raise WalkError(f"{self.walk.remaining} points are open: not over yet")
        entries = self._journal.entries(self.walk_id)
        head = entries[-1].head
        document = record_document(self.walk_id, self.walk, entries, head)
        data = to_text(document).encode()
        name = record_name(self.walk_id)
        write_atomically(self._folder / name, data)
        self._journal.register(
            RecordRow(
                record_id=self.walk_id,
                path=name,
                content_sha256=document["content_sha256"],
                file_sha256=hashlib.sha256(data).hexdigest(),
                status=document["content"]["status"],
                outcome=document["content"]["decision"]["outcome"],
                head=head,
            ),
            data.decode(),
        )
        return RecordRef(record_id=self.walk_id, path=self._folder / name)

    def _append(self, event: JournalEvent, how: How | None = None) -> Entry:
        entry = self._journal.append(
            self.walk_id, event, at=self._clock.now(), how=how, after=self._head
        )
        self._head = entry.head
        return entry


def record_name(record_id: str) -> str:
    """Return the name of a record's file, relative to the home folder."""
    return f"records/{uuid.UUID(record_id)}.json"


def replayed(checklist: Checklist, entries: Iterable[Entry]) -> Walk:
    """Return the walk that the entries make.

    Raises:
        JournalDamaged: an event does not fit the one before.
    """
    try:
        return Walk.replay(checklist, walk_events(entries))
    except (WalkError, KeyError) as error:
        raise JournalDamaged(
            f"the events of this journal do not make a walk: {error}; "
            "keep the file as it is and start a new walk"
        ) from error


def walk_events(entries: Iterable[Entry]) -> tuple[WalkEvent, ...]:
    """Return the events that make the walk, without what replay passes over."""
    return tuple(entry.event for entry in entries if not isinstance(entry.event, Aside))


def unfinished_walk(journal: Journal, unit: str) -> WalkRow | None:
    """Return the newest walk of a unit that has no record, or None.

    Raises:
        UsageError: the unit has characters it cannot have.
    """
    return next(iter(journal.unfinished(unit_id(unit))), None)


def _check_operator(walk: Walk, operator: str) -> None:
    """A record names one operator: whoever began the walk goes on with it."""
    begun_by = walk.started.operator if walk.started else ""
    if begun_by and operator and operator_id(operator) != begun_by:
        raise UsageError(
            f"this walk was begun by {begun_by}, not {operator}: leave --operator out "
            "to go on in that name, or start a new walk"
        )


def _unfinished(rows: tuple[WalkRow, ...], checklist: Checklist, unit: str) -> WalkRow:
    """The newest of the unfinished walks of the unit, on the same checklist."""
    if not rows:
        raise RecordNotFound(
            f"{unit} has no unfinished walk; start one without --resume"
        )
    for row in rows:
        if row.checklist_sha256 == checklist.sha256:
            return row
    newest = rows[0]
    raise UsageError(
        f"the unfinished walk of {unit} uses the checklist {newest.checklist} "
        f"{newest.checklist_version} ({newest.checklist_sha256[:12]}), not this "
        f"{checklist.name} {checklist.version} ({checklist.sha256[:12]}); resume it "
        "with that checklist, or start a new walk"
    )
