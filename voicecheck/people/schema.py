"""Bring the tables of personal results to what this program knows, when opened."""

from __future__ import annotations

from sqlalchemy import Connection, inspect, text

from voicecheck.errors import PeopleError
from voicecheck.people.tables import VERSION_TABLE
from voicecheck.store.steps import steps_of, wait_for_turn

NEWEST = "0001"
"""The last step that this program knows."""
_LOCK = 0x70656F70
"""Number of the lock under which PostgreSQL tables are prepared: "peop"."""


def is_current(connection: Connection, place: str) -> bool:
    """Tell whether the tables are what this program knows; change nothing.

    Raises:
        PeopleError: they are newer.
    """
    if VERSION_TABLE not in inspect(connection).get_table_names():
        return False
    query = text(f"SELECT version_num FROM {VERSION_TABLE}")  # noqa: S608
    found = connection.execute(query).scalar()
    if found is not None and str(found) > NEWEST:
        raise PeopleError(
            f"the personal results in {place} stand at step {found}, this voicecheck "
            f"knows step {NEWEST}; install a newer voicecheck"
        )
    return str(found) == NEWEST


def prepare(connection: Connection, place: str) -> None:
    """Make or upgrade the tables, in the transaction of this connection.

    Raises:
        PeopleError: they are newer than this program.
    """
    wait_for_turn(connection, _LOCK)
    if is_current(connection, place):
        return
    from alembic import command  # noqa: PLC0415

    config = steps_of("voicecheck.people", connection)
    command.upgrade(config, NEWEST)
