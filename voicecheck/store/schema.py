"""Bring the tables of a store to what this program knows, when it is opened.

The steps lie in `migrations` and are run by Alembic. A journal from before
there were steps has the tables of the first one: it is marked as such and goes
on from there. Everything happens in the transaction of the caller.
"""

from __future__ import annotations

from sqlalchemy import Connection, Engine, inspect, text

from voicecheck.errors import JournalError
from voicecheck.store import tables
from voicecheck.store.steps import steps_of, wait_for_turn

NEWEST = "0003"
"""The last step that this program knows."""
FIRST = "0001"
_LOCK = 0x766F6963
"""Number of the lock under which a PostgreSQL store is prepared: "voic"."""


def is_current(connection: Connection, place: str) -> bool:
    """Tell whether the tables are what this program knows; change nothing.

    Raises:
        JournalError: they are newer.
    """
    names = inspect(connection).get_table_names()
    if "journal_format" in names:
        _check_format(connection, place)
    found = _revision(connection, names)
    if found is not None and found > NEWEST:
        raise _too_new(place, f"step {found}", f"step {NEWEST}")
    return found == NEWEST


def prepare(connection: Connection, place: str) -> None:
    """Make or upgrade the tables, in the transaction of this connection.

    Raises:
        JournalError: the store is newer than this program.
    """
    wait_for_turn(connection, _LOCK)
    if is_current(connection, place):
        return
    from alembic import command  # noqa: PLC0415

    config = steps_of("voicecheck.store", connection)
    names = inspect(connection).get_table_names()
    if "journal_format" in names and _revision(connection, names) is None:
        command.stamp(config, FIRST)
    command.upgrade(config, NEWEST)


def revision(engine: Engine) -> str | None:
    """Return the step that a store stands at; None for one without steps."""
    with engine.begin() as connection:
        return _revision(connection, inspect(connection).get_table_names())


def _revision(connection: Connection, names: list[str]) -> str | None:
    if "alembic_version" not in names:
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def _check_format(connection: Connection, place: str) -> None:
    newest = connection.execute(
        tables.journal_format.select().order_by(tables.journal_format.c.version.desc())
    ).scalar()
    if isinstance(newest, int) and newest > tables.FORMAT_VERSION:
        raise _too_new(place, f"format {newest}", f"{tables.FORMAT_VERSION}")


def _too_new(place: str, found: str, known: str) -> JournalError:
    return JournalError(
        f"the journal {place} has {found}, this voicecheck knows {known}; "
        "install a newer voicecheck"
    )
