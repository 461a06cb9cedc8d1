"""Keep access codes, and slow down those who guess."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import Connection, delete, insert, select, update

from voicecheck.clock import utc_text
from voicecheck.errors import TooManyTries
from voicecheck.people.codes import CodeHash, wait_after
from voicecheck.people.tables import codes


def keep_code(connection: Connection, who: str, code: CodeHash, now: datetime) -> None:
    """Keep the hash of a person's new code; an older code counts no longer."""
    connection.execute(delete(codes).where(codes.c.person_id == who))
    connection.execute(
        insert(codes).values(
            person_id=who,
            salt=code.salt,
            hash=code.hash,
            failures=0,
            next_try_utc=utc_text(now),
        )
    )


def begin_try(connection: Connection, who: str, now: datetime) -> CodeHash | None:
    """Count a try as failed before it is looked at, so that none goes uncounted.

    Returns:
        What was kept of the person's code; None where there is none.

    Raises:
        TooManyTries: the person's next try is not due yet; it is not counted.
    """
    query = select(codes).where(codes.c.person_id == who).with_for_update()
    row = connection.execute(query).first()
    if row is None:
        return None
    left_s = (datetime.fromisoformat(row.next_try_utc) - now).total_seconds()
    if left_s > 0:
        raise TooManyTries(left_s)
    failures = row.failures + 1
    due = now + timedelta(seconds=wait_after(failures))
    connection.execute(
        update(codes)
        .where(codes.c.person_id == who)
        .values(failures=failures, next_try_utc=utc_text(due))
    )
    return CodeHash(salt=row.salt, hash=row.hash)


def forgive(connection: Connection, who: str, code: CodeHash, now: datetime) -> None:
    """Forget the wrong tries: the right code came."""
    connection.execute(
        update(codes)
        .where(codes.c.person_id == who, codes.c.salt == code.salt)
        .values(failures=0, next_try_utc=utc_text(now))
    )
