"""Write down who looks at whose results."""

from __future__ import annotations

from sqlalchemy import Connection, insert, select

from voicecheck.people.rows import Look, look_of
from voicecheck.people.tables import looks

MOST_WHAT = 200


def write_look(connection: Connection, look: Look) -> None:
    """Add a look."""
    connection.execute(
        insert(looks).values(
            reader=look.reader,
            subject=look.subject,
            what=look.what[:MOST_WHAT],
            at_utc=look.at_utc,
            allowed=look.allowed,
        )
    )


def read_looks(connection: Connection, subject: str) -> tuple[Look, ...]:
    """Return all looks at a person's results, the oldest first."""
    query = select(looks).where(looks.c.subject == subject).order_by(looks.c.seq)
    return tuple(look_of(row) for row in connection.execute(query))
