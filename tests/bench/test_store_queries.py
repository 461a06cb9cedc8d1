"""What the benchmark asks, and that asking costs no more in a larger store."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from voicecheck.bench import store_queries
from voicecheck.bench.store_filling import fill
from voicecheck.bench.store_queries import QueryTime, measure
from voicecheck.bench.store_rows import Shape
from voicecheck.store.fleet import open_fleet
from voicecheck.store.journal import open_journal
from voicecheck.testing.small_checklist import small_checklist


def asked(where: Path | str, shape: Shape) -> dict[str, QueryTime]:
    """Fill a store and ask every question that a page asks."""
    with open_fleet(where) as fleet, open_journal(where) as journal:
        fill(fleet, shape, checklist=small_checklist())
        return {
            one.name: measure(one)
            for one in store_queries.page_questions(fleet, journal, shape)
        }


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.database)])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Path | str]:
    """Give the place of an empty store in each database."""
    if request.param == "postgres":
        yield request.getfixturevalue("postgres_url")
        return
    yield tmp_path / "large.sqlite3"


def test_a_page_sends_as_many_statements_in_a_larger_store(
    where: Path | str, tmp_path: Path
) -> None:
    """Four times the walks and units, not one more statement."""
    small = asked(tmp_path / "small.sqlite3", Shape(walks=60, units=24))
    large = asked(where, Shape(walks=240, units=96))

    # PostgreSQL sends one less: SQLite's BEGIN is a statement of its own
    assert small.keys() == large.keys()
    for name, one in large.items():
        assert 1 <= one.statements <= small[name].statements, name
    assert large["all units with their status"].rows == 96
    assert large["list of walks, last page"].rows == 50


def test_a_years_report_counts_every_finished_walk(tmp_path: Path) -> None:
    """The whole fleet, and one unit of it."""
    shape = Shape(walks=60, units=4)
    with open_fleet(tmp_path / "fleet.sqlite3") as fleet:
        fill(fleet, shape, checklist=small_checklist())
        finished = [row for row in fleet.walks() if row.record is not None]

        assert store_queries.year_report(fleet, shape, None) == len(finished)
        assert store_queries.year_report(fleet, shape, "L-2") == sum(
            row.unit == "L-2" for row in finished
        )
