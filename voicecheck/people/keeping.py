"""Add events to a person's results, and read those that somebody may see."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Select, func, select
from sqlalchemy.dialects import postgresql, sqlite

from voicecheck.errors import NotAllowed, PeopleError
from voicecheck.people.events import PersonalEvent
from voicecheck.people.registering import known
from voicecheck.people.roles import Action, Person, Role, may, refusal
from voicecheck.people.rows import State, event_of, event_values
from voicecheck.people.tables import events


def append(connection: Connection, event: PersonalEvent) -> bool:
    """Keep an event once; tell whether it is new.

    An event that was kept and erased since is not taken in again.

    Raises:
        PeopleError: the subject or the writer is not registered, or the key
            stands for something else already.
        NotAllowed: the writer may not write into these results.
    """
    values = event_values(event)
    row = connection.execute(
        select(events).where(events.c.key == values["key"])
    ).first()
    if row is not None:
        if row.state == State.WHOLE and any(
            getattr(row, name) != values[name] for name in values
        ):
            raise PeopleError(
                f"the key {event.key} stands for another result already; nothing was "
                "written: give the new result a key of its own"
            )
        return False
    for who in sorted({event.subject, event.by}):  # in one order: no deadlock
        known(connection, who, lock=True)
    subject, writer = known(connection, event.subject), known(connection, event.by)
    if not may(writer, Action.WRITE, subject.id):
        raise NotAllowed(refusal(writer, Action.WRITE, subject.id))
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    statement = dialect.insert(events).values(**values).on_conflict_do_nothing()
    # a count of rows is not to be had from every driver
    if connection.execute(statement.returning(events.c.seq)).first() is not None:
        return True
    return append(connection, event)  # another writer was quicker: compare with theirs


def visible(
    connection: Connection, reader: Person, subject: str, kind_prefix: str
) -> tuple[PersonalEvent, ...]:
    """Return what a reader may see of a person's results, in order of keeping."""
    query = (
        select(events)
        .where(events.c.subject == subject, events.c.state != State.ERASED)
        .where(events.c.kind.startswith(kind_prefix, autoescape=True))
        .order_by(events.c.seq)
    )
    if reader.id != subject and Role.SUPERVISOR not in reader.roles:
        query = _own_work(query, reader.id, subject)
    return tuple(event_of(row) for row in connection.execute(query))


def _own_work(query: Select[Any], reader: str, subject: str) -> Select[Any]:
    """Leave what the reader wrote, and threads that the reader began with them."""
    of_subject = (events.c.subject == subject) & (events.c.thread != "")
    first = select(func.min(events.c.seq)).where(of_subject)
    begun = select(events.c.thread).where(
        events.c.seq.in_(first.group_by(events.c.thread)), events.c.by == reader
    )
    return query.where((events.c.by == reader) | events.c.thread.in_(begun))
