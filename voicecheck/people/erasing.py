"""Take a person out of the database, and keep that this was done."""

from __future__ import annotations

import json
import re
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Table, delete, insert, select, update

from voicecheck.people.events import body_text
from voicecheck.people.names import ERASED_PREFIX
from voicecheck.people.rows import Erasure, State
from voicecheck.people.tables import codes, erasures, events, looks, people


def erase(connection: Connection, who: str, by: str, at_utc: str) -> Erasure:
    """Remove a person's id, code, roles and results, and the looks at them.

    Keys of events stay, so that a device that sends them once more changes
    nothing. What the person did for others stays under a pseudonym: there the id
    is replaced wherever it stands as a word, and such an event is no longer
    compared when it is sent again.

    The caller holds all people locked (`registering.check_supervised` does), so that
    nobody writes for or about the person at the same time.

    Returns:
        What is kept: that somebody was erased, when and by whom.
    """
    pseudonym = f"{ERASED_PREFIX}{uuid4().hex[:12]}"
    emptied = connection.execute(
        update(events)
        .where(events.c.subject == who)
        .values(
            subject=pseudonym,
            by=pseudonym,
            body="{}",
            kind="erased",
            thread="",
            at_utc=at_utc,
            state=State.ERASED,
        )
    ).rowcount
    connection.execute(delete(codes).where(codes.c.person_id == who))
    connection.execute(delete(looks).where(looks.c.subject == who))
    connection.execute(delete(people).where(people.c.person_id == who))
    connection.execute(
        update(events)
        .where(events.c.by == who)
        .values(by=pseudonym, state=State.REWRITTEN)
    )
    _rename(connection, looks, "reader", who, pseudonym)
    _rename(connection, people, "registered_by", who, pseudonym)
    _rename(connection, erasures, "by", who, pseudonym)
    _rewrite_bodies(connection, who, pseudonym)
    found = Erasure(
        pseudonym=pseudonym,
        at_utc=at_utc,
        by=pseudonym if by == who else by,
        events=emptied,
    )
    connection.execute(
        insert(erasures).values(
            pseudonym=found.pseudonym,
            at_utc=found.at_utc,
            by=found.by,
            events=found.events,
        )
    )
    return found


def read_erasures(connection: Connection) -> tuple[Erasure, ...]:
    """Return all erasures, the oldest first."""
    query = select(erasures).order_by(erasures.c.at_utc, erasures.c.pseudonym)
    return tuple(
        Erasure(
            pseudonym=row.pseudonym, at_utc=row.at_utc, by=row.by, events=row.events
        )
        for row in connection.execute(query)
    )


def without(data: Any, who: str, instead: str) -> Any:
    """Return JSON data in which a person's id is replaced.

    A value or key that is the id goes; within a longer text the id goes wherever it
    stands as a word, in capitals or not. A single word of another spelling stays,
    since it may be of the vocabulary: somebody may be called Good.
    """
    match data:
        case str() if " " in data:
            return _word(who).sub(instead, data)
        case str():
            return instead if data == who else data
        case dict():
            return {
                instead if key == who else key: without(value, who, instead)
                for key, value in data.items()
            }
        case list():
            return [without(one, who, instead) for one in data]
        case _:
            return data


def _word(text: str) -> re.Pattern[str]:
    """Find an id, but not within a longer one such as M.J.Doe or J.Doe-2.

    Only Latin letters make an id longer: in Korean a particle follows at once.
    """
    before, after = r"(?<![\w.-])", r"(?![\w]|[.-]\w)"
    return re.compile(before + re.escape(text) + after, re.IGNORECASE | re.ASCII)


def _rename(
    connection: Connection, table: Table, column: str, who: str, pseudonym: str
) -> None:
    changed = update(table).where(table.c[column] == who)
    connection.execute(changed.values({column: pseudonym}))


def _rewrite_bodies(connection: Connection, who: str, pseudonym: str) -> None:
    rows = connection.execute(select(events).where(events.c.state != State.ERASED))
    for row in rows.all():
        new = body_text(without(json.loads(row.body), who, pseudonym))
        if new != row.body:
            changed = update(events).where(events.c.seq == row.seq)
            connection.execute(changed.values(body=new, state=State.REWRITTEN))
