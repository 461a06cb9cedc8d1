"""The tables come from the steps, and are those that the program knows."""

from __future__ import annotations

from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text

from voicecheck.errors import PeopleError
from voicecheck.people.database import PeopleDatabase
from voicecheck.people.schema import NEWEST
from voicecheck.people.tables import VERSION_TABLE, metadata


def differences(where: Path | str) -> list[object]:
    """Return what Alembic would have to change."""
    database = PeopleDatabase(where)
    with database.reading() as connection:
        context = MigrationContext.configure(
            connection, opts={"version_table": VERSION_TABLE, "compare_type": True}
        )
        found = compare_metadata(context, metadata)
    database.close()
    return list(found)


def test_the_steps_make_the_tables(tmp_path: Path) -> None:
    """Nothing is left to change after them, and opening again changes nothing."""
    assert differences(tmp_path / "people.sqlite3") == []
    assert differences(tmp_path / "people.sqlite3") == []


@pytest.mark.database
def test_the_steps_make_the_tables_on_postgresql(postgres_url: str) -> None:
    """The same there."""
    assert differences(postgres_url) == []


def test_newer_tables_are_refused(tmp_path: Path) -> None:
    """With the advice to install a newer program."""
    place = tmp_path / "people.sqlite3"
    database = PeopleDatabase(place)
    with database.writing() as connection:
        connection.execute(text(f"UPDATE {VERSION_TABLE} SET version_num = '9999'"))
    database.close()

    with pytest.raises(PeopleError, match=f"9999.*knows step {NEWEST}.*newer"):
        PeopleDatabase(place)


def test_what_is_no_database_is_refused(tmp_path: Path) -> None:
    """With a sentence, and left as it is."""
    place = tmp_path / "people.sqlite3"
    place.write_bytes(b"this is a letter, not a database. " * 50)

    with pytest.raises(PeopleError, match="cannot be used"):
        PeopleDatabase(place)
    assert place.read_bytes().startswith(b"this is a letter")


def test_only_the_owner_can_read_the_file(tmp_path: Path) -> None:
    """Before anything is written into it."""
    PeopleDatabase(tmp_path / "new" / "people.sqlite3").close()

    mode = (tmp_path / "new" / "people.sqlite3").stat().st_mode & 0o777
    assert mode == 0o600
