"""Defects in the database: read, joined, opened and carried on, in a transaction."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, Row, Select, insert, select, text, update

from voicecheck.defects.events import DefectEvent
from voicecheck.defects.steps import event_data, event_of, is_true, kind_of, written
from voicecheck.defects.story import (
    Defect,
    DefectState,
    Happening,
    fold,
    in_order,
    newest,
)
from voicecheck.errors import JournalDamaged, RecordNotFound
from voicecheck.record.canonical import canonical
from voicecheck.round.answers import Severity
from voicecheck.store import rows
from voicecheck.store.findings import Found
from voicecheck.store.tables import defect_events, defects


def opened_or_joined(
    connection: Connection, unit: str, found: Sequence[Found], *, at_utc: str, by: str
) -> tuple[str, ...]:
    """Write what a walk found: each joins the open defect there, or opens one.

    Returns:
        The ids of the defects, in the order of the findings.
    """
    lock_unit(connection, unit)
    open_there = {one.checkpoint_id: one for one in open_defects(connection, unit)}
    ids = []
    for finding in found:
        there = open_there.get(finding.checkpoint_id)
        if there is None:
            defect_id = str(uuid.uuid4())
            first = finding.opening(unit)
            one = written(defect_id, first, at_utc=at_utc, by=by)
            add(connection, [one])
        else:
            defect_id = there.defect_id
            carry_on(connection, defect_id, finding.again(), at_utc=at_utc, by=by)
        ids.append(defect_id)
    return tuple(ids)


def carry_on(
    connection: Connection, defect_id: str, event: DefectEvent, *, at_utc: str, by: str
) -> Defect:
    """Add an event after all that is known; return where the defect stands then."""
    story = happenings(connection, defect_id)
    heads = newest(story)
    known = tuple(one for one in story if one.sha256 in heads)
    one = written(defect_id, event, at_utc=at_utc, by=by, known=known)
    return add(connection, [one])


def add(connection: Connection, new: Sequence[Happening]) -> Defect:
    """Add events of one defect that are not there yet, and fold it again.

    Raises:
        JournalDamaged: an event was altered, or one before it is missing.
    """
    defect_id = new[0].defect_id
    kept = _stored(connection, defect_id, lock=True)
    have = {one.sha256 for one in kept}
    missing = [one for one in new if one.sha256 not in have]
    defect = _joined(kept, missing)
    if kept:
        connection.execute(
            update(defects)
            .where(defects.c.defect_id == defect_id)
            .values(**defect_values(defect))
        )
    else:
        connection.execute(insert(defects).values(**defect_values(defect)))
    rows.insert_missing(connection, defect_events, [event_values(o) for o in missing])
    return defect


def folded(connection: Connection, new: Sequence[Happening]) -> Defect:
    """Return where a defect would stand with these events; write nothing.

    Raises:
        JournalDamaged: an event was altered, or one before it is missing.
    """
    kept = _stored(connection, new[0].defect_id)
    return _joined(kept, new)


def _joined(kept: Sequence[Happening], new: Sequence[Happening]) -> Defect:
    first = (*kept, *new)[0]
    for one in new:
        if one.defect_id != first.defect_id or not is_true(one):
            raise JournalDamaged(f"an event of defect {first.defect_id} was altered")
    return fold([*kept, *new])


def happenings(connection: Connection, defect_id: str) -> tuple[Happening, ...]:
    """Return the story of a defect, checked from end to end.

    Raises:
        RecordNotFound: there is no such defect.
        JournalDamaged: it was altered.
    """
    row = connection.execute(
        select(defects).where(defects.c.defect_id == defect_id)
    ).first()
    story = _stored(connection, defect_id)
    if row is None and not story:
        raise RecordNotFound(
            f"there is no defect {defect_id}; `voicecheck defects list` shows all"
        )
    problems = story_problems(row, story)
    if problems:
        raise JournalDamaged(f"defect {defect_id}: {problems[0]}")
    return in_order(story)


def story_problems(row: Row[Any] | None, story: Sequence[Happening]) -> list[str]:
    """Say what does not fit between a defect's row and its events."""
    if row is None:
        return ["it is missing in the list of defects"]
    problems = [
        f"event {one.seq} was altered: its hash does not fit"
        for one in story
        if not is_true(one)
    ]
    if problems:
        return problems
    if not story:
        return ["all its events are missing"]
    try:
        folded = fold(story)
    except JournalDamaged as error:
        return [str(error)]
    if defect_row(row) != folded:
        return ["the list of defects says otherwise than its events"]
    return []


def open_defects(
    connection: Connection, unit: str | None = None, limit: int | None = None
) -> tuple[Defect, ...]:
    """Return open defects, the worst first, then the oldest."""
    found = connection.execute(open_query(unit).limit(limit))
    return tuple(defect_row(row) for row in found)


def open_query(unit: str | None = None) -> Select[Any]:
    """Return the query for open defects, the worst first, then the oldest."""
    query = (
        select(defects)
        .where(defects.c.closed_utc.is_(None))
        .order_by(
            defects.c.severity_rank.desc(), defects.c.found_utc, defects.c.defect_id
        )
    )
    return query if unit is None else query.where(defects.c.unit == unit)


def lock_unit(connection: Connection, unit: str) -> None:
    """Let only one transaction at a time open defects on a unit."""
    if connection.dialect.name == "postgresql":
        connection.execute(
            text("SELECT pg_advisory_xact_lock(hashtext(:unit))"), {"unit": unit}
        )


def defect_row(row: Row[Any]) -> Defect:
    """Return a row of the list of defects as a value.

    Raises:
        JournalDamaged: it holds something that no program has written.
    """
    try:
        return Defect(
            defect_id=str(row.defect_id),
            unit=str(row.unit),
            checkpoint_id=str(row.checkpoint_id),
            title=str(row.title),
            words=str(row.words),
            severity=Severity(row.severity),
            state=DefectState(row.state),
            holding=bool(row.holding),
            found_utc=str(row.found_utc),
            found_by=str(row.found_by),
            last_utc=str(row.last_utc),
            closed_utc=None if row.closed_utc is None else str(row.closed_utc),
            sightings=int(row.sightings),
            conflict=bool(row.conflict),
            heads=tuple(str(row.heads).split()),
        )
    except (ValueError, TypeError) as error:
        raise JournalDamaged(
            f"defect {row.defect_id} in the list of defects was altered: {error}"
        ) from error


def defect_values(defect: Defect) -> dict[str, Any]:
    """Return a defect as the columns of its table."""
    return {
        "defect_id": defect.defect_id,
        "unit": defect.unit,
        "checkpoint_id": defect.checkpoint_id,
        "title": defect.title,
        "words": defect.words,
        "severity": defect.severity.value,
        "severity_rank": defect.severity.rank,
        "state": defect.state.value,
        "holding": defect.holding,
        "found_utc": defect.found_utc,
        "found_by": defect.found_by,
        "last_utc": defect.last_utc,
        "closed_utc": defect.closed_utc,
        "sightings": defect.sightings,
        "conflict": defect.conflict,
        "heads": " ".join(defect.heads),
    }


def event_values(one: Happening) -> dict[str, Any]:
    """Return an event of a defect as the columns of its table."""
    return {
        "defect_id": one.defect_id,
        "sha256": one.sha256,
        "seq": one.seq,
        "at_utc": one.at_utc,
        "by": one.by,
        "kind": kind_of(one.event),
        "payload": canonical(event_data(one.event)).decode(),
        "previous": " ".join(one.previous),
    }


def happening(row: Row[Any] | Any) -> Happening:
    """Return a row of the events as a value.

    Raises:
        JournalDamaged: its event cannot be read.
    """
    return Happening(
        defect_id=str(row.defect_id),
        seq=row.seq if isinstance(row.seq, int) else -1,
        at_utc=str(row.at_utc),
        by=str(row.by),
        event=event_of(str(row.kind), str(row.payload)),
        previous=tuple(str(row.previous).split()),
        sha256=str(row.sha256),
    )


def _stored(
    connection: Connection, defect_id: str, *, lock: bool = False
) -> list[Happening]:
    if lock:
        row = select(defects.c.defect_id).where(defects.c.defect_id == defect_id)
        connection.execute(row.with_for_update())
    query = select(defect_events).where(defect_events.c.defect_id == defect_id)
    return [happening(row) for row in _rows(connection.execute(query))]


def _rows(found: Iterable[Row[Any]]) -> list[Row[Any]]:
    return sorted(found, key=lambda row: (str(row.seq), str(row.sha256)))
