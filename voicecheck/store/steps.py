"""Bring tables to the newest step with Alembic, in the transaction of the caller."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import Connection, text

if TYPE_CHECKING:
    from alembic.config import Config

__all__ = ["steps_of", "wait_for_turn"]


def wait_for_turn(connection: Connection, lock: int) -> None:
    """Let one program at a time change tables, until its transaction ends.

    Args:
        connection: to the database; SQLite has one writer anyway.
        lock: number of an advisory lock of PostgreSQL.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": lock})


def steps_of(package: str, connection: Connection) -> Config:
    """Return what Alembic's commands take to run the steps of a package.

    Args:
        package: such as voicecheck.store; its steps lie in `migrations`.
        connection: on which they run.
    """
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", f"{package}:migrations")
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config
