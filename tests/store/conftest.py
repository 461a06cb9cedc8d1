"""A store in each kind of database."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from voicecheck.store.fleet import SqlFleet, open_fleet


@pytest.fixture(
    scope="module",
    params=["sqlite", pytest.param("postgres", marks=pytest.mark.database)],
)
def fleet(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[SqlFleet]:
    """Give a store in each database; every example fills it anew."""
    where: Path | str = tmp_path_factory.mktemp("store") / "journal.sqlite3"
    if request.param == "postgres":
        where = request.getfixturevalue("postgres_url")
    with open_fleet(where) as opened:
        yield opened
