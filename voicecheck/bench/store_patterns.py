"""Real walks as patterns: walked once, repeated for other machines and days.

A pattern is walked through the very session that keeps every walk, for a unit,
an operator and an hour that stand for others. A repetition puts the right ones
into its texts and works out all hashes again, so that every check holds.
"""

from __future__ import annotations

import hashlib
import random
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from voicecheck.clock import ManualClock
from voicecheck.demo.scenario import seeded_answers
from voicecheck.record.canonical import canonical
from voicecheck.record.steps import JournalHead
from voicecheck.round import events as ev
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Good,
    Leak,
    Level,
    LevelSeen,
)
from voicecheck.round.checklist import Checklist, CheckpointKind
from voicecheck.round.walk import AskCheckpoint, Climb, Over, SumUp
from voicecheck.store.archive import document_of
from voicecheck.store.chain import FIRST_PREVIOUS, StoredEntry
from voicecheck.store.findings import Found, findings_of
from voicecheck.store.ports import RecordRow
from voicecheck.store.session import WalkSession, record_name
from voicecheck.testing.memory_journal import MemoryJournal

_WALK = "00000000-0000-4000-8000-000000000000"
_UNIT = "unit of the pattern"
_OPERATOR = "operator of the pattern"
_HOUR = datetime(2001, 1, 1, tzinfo=UTC)
_HOUR_TEXT = "2001-01-01T00"
_STEP_S = 12
"""From one answer to the next: common practice, no source."""

EntryRow = tuple[str, int, str, str, str, str, str]
"""In the order of the columns of `voicecheck.store.tables.entries`."""


class Form:
    """A text with places for what differs."""

    def __init__(self, text: str, places: Mapping[str, str]) -> None:
        """Find the places.

        Args:
            text: with values of its own in these places.
            places: name of a place by what stands there.
        """
        wanted = "|".join(map(re.escape, places))
        self._pieces = re.split(f"({wanted})", text)
        self._at = [
            (index, places[piece])
            for index, piece in enumerate(self._pieces)
            if piece in places
        ]

    def filled(self, values: Mapping[str, str]) -> str:
        """Return the text with these values in its places."""
        pieces = list(self._pieces)
        for index, name in self._at:
            pieces[index] = values[name]
        return "".join(pieces)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """One entry of a pattern."""

    kind: str
    time: str
    """After the hour."""
    payload: Form
    hashed: Form


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeated:
    """A walk made from a pattern."""

    entries: list[EntryRow]
    record: RecordRow | None
    text: str
    """Of the record; empty where there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A walk to be repeated; all times lie within one hour."""

    checklist: Checklist
    checklist_text: tuple[str, str]
    """The hash of the kept text, and the text."""
    steps: tuple[_Step, ...]
    content: Form
    document: Form
    status: str
    outcome: str
    findings: tuple[Found, ...]

    def repeated(
        self, walk_id: str, *, unit: str, operator: str, hour: str, most: int = 0
    ) -> Repeated:
        """Return the walk of another machine.

        Args:
            walk_id: its id.
            unit: the machine.
            operator: who walked.
            hour: of its beginning, as 2026-01-05T06.
            most: entries, when it is left unfinished; 0: it is finished.
        """
        values = {"walk": walk_id, "unit": unit, "operator": operator, "hour": hour}
        found: list[EntryRow] = []
        previous = FIRST_PREVIOUS
        for seq, step in enumerate(self.steps[: most or None], start=1):
            values["previous"] = previous
            hashed = step.hashed.filled(values).encode()
            sha256 = hashlib.sha256(hashed).hexdigest()
            at_utc, payload = hour + step.time, step.payload.filled(values)
            found.append((walk_id, seq, at_utc, step.kind, payload, previous, sha256))
            previous = sha256
        if most:
            return Repeated(entries=found, record=None, text="")
        values["head"] = previous
        values["content"] = _sha256(self.content.filled(values))
        text = self.document.filled(values)
        record = RecordRow(
            record_id=walk_id,
            path=record_name(walk_id),
            content_sha256=values["content"],
            file_sha256=_sha256(text),
            status=self.status,
            outcome=self.outcome,
            head=JournalHead(seq=len(found), sha256=previous),
        )
        return Repeated(entries=found, record=record, text=text)

    def seen(self, walk_id: str) -> tuple[Found, ...]:
        """Return what the walk with this id has found."""
        return tuple(
            replace(one, sighting=replace(one.sighting, walk_id=walk_id))
            for one in self.findings
        )


def patterns(checklist: Checklist, count: int = 32) -> tuple[Pattern, ...]:
    """Walk so many patterns; every third one has findings, one to three."""
    return tuple(
        _pattern(checklist, number, findings=0 if number % 3 else number // 3 % 3 + 1)
        for number in range(count)
    )


def _pattern(checklist: Checklist, number: int, *, findings: int) -> Pattern:
    clock = ManualClock(_HOUR)
    clock.advance(60 * (number % 30))
    journal = MemoryJournal()
    with TemporaryDirectory() as folder:
        session = WalkSession.start(
            journal,
            clock,
            checklist,
            unit=_UNIT,
            operator=_OPERATOR,
            folder=Path(folder),
            new_id=lambda: _WALK,
        )
        _walk(session, clock, _answers(checklist, number, findings))
        session.finish()
    text = journal.texts[_WALK]
    document = document_of(text)
    content = document["content"]
    places = {_WALK: "walk", _UNIT: "unit", _OPERATOR: "operator", _HOUR_TEXT: "hour"}
    stored = journal.stored[_WALK]
    kept_sha256, kept = next(iter(journal.checklists.items()))
    return Pattern(
        checklist=checklist,
        checklist_text=(kept_sha256, kept),
        steps=tuple(_step(one, places) for one in stored),
        content=Form(canonical(content).decode(), places),
        document=Form(
            text,
            {
                **places,
                document["content_sha256"]: "content",
                stored[-1].sha256: "head",
            },
        ),
        status=content["status"],
        outcome=content["decision"]["outcome"],
        findings=findings_of(document),
    )


def _step(entry: StoredEntry, places: Mapping[str, str]) -> _Step:
    hashed = {
        "walk_id": entry.walk_id,
        "seq": entry.seq,
        "at_utc": entry.at_utc,
        "kind": entry.kind,
        "payload": entry.payload,
        "previous_sha256": entry.previous_sha256,
    }
    return _Step(
        kind=entry.kind,
        time=entry.at_utc.removeprefix(_HOUR_TEXT),
        payload=Form(entry.payload, places),
        hashed=Form(
            canonical(hashed).decode(), {**places, entry.previous_sha256: "previous"}
        ),
    )


def _walk(
    session: WalkSession, clock: ManualClock, answers: Mapping[str, Answer]
) -> None:
    """Answer every point, one after the other, and sign."""
    while not isinstance(task := session.walk.task, Over):
        clock.advance(_STEP_S)
        match task:
            case AskCheckpoint(checkpoint=point):
                answer = answers[point.id]
                session.commit(
                    ev.AnswerConfirmed(checkpoint_id=point.id, answer=answer), _HOW
                )
            case Climb(zone=zone):
                session.commit(ev.ClimbDone(zone_id=zone.id))
            case SumUp():
                session.commit(ev.Declared(accepted=True))


_HOW = ev.How(
    mode="spoken",
    confirmed_by="implicit",
    words=("good",),
    confidence=0.97,
    after_prompt_s=1.4,
    noise_dbfs=-38.5,
    snr_db=14.0,
    engine="invented",
)


def _answers(checklist: Checklist, seed: int, findings: int) -> dict[str, Answer]:
    """What the demo's operator sees, with only so many findings left."""
    answers = seeded_answers(checklist, seed)
    bad = [
        point
        for point in checklist.checkpoints
        if isinstance(answers[point.id], Defect | Leak | CouldNotCheck)
        or answers[point.id] == LevelSeen(level=Level.LOW)
    ]
    random.Random(seed).shuffle(bad)
    for point in bad[findings:]:
        is_level = point.kind is CheckpointKind.LEVEL
        answers[point.id] = LevelSeen(level=Level.FULL) if is_level else Good()
    return answers


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
