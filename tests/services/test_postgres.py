"""The PostgreSQL server that tests of databases rely on."""

from __future__ import annotations

import pytest
from sqlalchemy import create_engine, inspect, text

pytestmark = pytest.mark.database


def test_a_real_server_answers_with_an_empty_database(postgres_url: str) -> None:
    """It is PostgreSQL that answers, and nobody has left a table there."""
    engine = create_engine(postgres_url)
    with engine.connect() as connection:
        version = connection.execute(text("SELECT version()")).scalar_one()
        tables = inspect(connection).get_table_names()
    engine.dispose()

    assert version.startswith("PostgreSQL ")
    assert tables == []


def test_it_speaks_unicode(postgres_url: str) -> None:
    """Korean texts come back as they went in."""
    engine = create_engine(postgres_url)
    with engine.connect() as connection:
        found = connection.execute(text("SELECT :word"), {"word": "이상 없음"})
        assert found.scalar_one() == "이상 없음"
    engine.dispose()
