"""An invented fleet: true in every hash, and filled in as often as one likes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import select

from voicecheck.bench.store_filling import already, fill
from voicecheck.bench.store_rows import Shape
from voicecheck.clock import ManualClock
from voicecheck.errors import UsageError
from voicecheck.round.events import WalkStarted
from voicecheck.store import archive, tables
from voicecheck.store.database import Database
from voicecheck.store.fleet import open_fleet
from voicecheck.store.journal import open_journal
from voicecheck.testing.small_checklist import small_checklist

SHAPE = Shape(walks=300, units=7)
"""More walks than go into one transaction."""


class CutOff(Exception):
    """The program ended in the middle."""


def filled(where: Path | str, shape: Shape = SHAPE) -> int:
    """Fill a store with walks of ten points each."""
    with Database.open(where) as store:
        return fill(store, shape, checklist=small_checklist())


def everything(where: Path | str) -> dict[str, list[tuple[object, ...]]]:
    """Return all rows of all tables."""
    with Database.open(where) as store, store.reading() as connection:
        return {
            table.name: sorted(map(tuple, connection.execute(select(table))), key=repr)
            for table in tables.metadata.sorted_tables
        }


@pytest.fixture(
    scope="module",
    params=["sqlite", pytest.param("postgres", marks=pytest.mark.database)],
)
def where(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Path | str]:
    """Give a filled store in each database."""
    place: Path | str = tmp_path_factory.mktemp("store") / "fleet.sqlite3"
    if request.param == "postgres":
        place = request.getfixturevalue("postgres_url")
    filled(place)
    yield place


def test_every_invented_walk_passes_every_check(
    where: Path | str, tmp_path: Path
) -> None:
    """Chains, records walked again, and stories of defects: nothing is made up."""
    with open_journal(where) as journal, open_fleet(where) as fleet:
        rows = fleet.walks()
        some = {*rows[::3], *fleet.walks(unfinished=True)}
        checks = [archive.check(journal, tmp_path, row.walk_id, row) for row in some]
        stories = list(fleet.stories())

        assert len(rows) == SHAPE.walks
        assert [one.problems for one in checks if not one.ok] == []
        assert {one.status for one in checks} == {"signed", "unfinished"}
        assert len(stories) == len(fleet.defects())
        assert {told.defect.open for told in stories} == {True, False}
        assert fleet.unit("L-3").last_walk in rows


def test_what_is_there_is_used_again(where: Path | str) -> None:
    """Nothing is written a second time."""
    before = everything(where)

    assert filled(where) == SHAPE.walks
    assert everything(where) == before


def test_a_filling_that_was_cut_off_goes_on(tmp_path: Path, where: Path | str) -> None:
    """It ends with the very rows of one that was not, in any database."""
    cut = tmp_path / "cut.sqlite3"

    def tell(stored: int) -> None:
        raise CutOff(stored)

    with Database.open(cut) as store, pytest.raises(CutOff):
        fill(store, SHAPE, checklist=small_checklist(), tell=tell)

    assert 0 < filled(cut) < SHAPE.walks
    assert everything(cut) == everything(where)


def test_other_walks_stay_alone(tmp_path: Path) -> None:
    """A store with real walks, or invented ones of another shape, is refused."""
    real, other = tmp_path / "real.sqlite3", tmp_path / "other.sqlite3"
    started = WalkStarted(
        unit="L-12",
        operator="J.Doe",
        checklist="small",
        checklist_version="1",
        checklist_sha256="ab" * 32,
    )
    with open_journal(real) as journal:
        journal.append(Shape(walks=1, units=1, seed=2).walk_id(0), started, at=_noon())
    filled(other, Shape(walks=5, units=2))

    for path, shape in ((real, SHAPE), (other, Shape(walks=5, units=3))):
        with (
            Database.open(path) as store,
            pytest.raises(UsageError, match="store of their own"),
        ):
            already(store, shape)


def _noon():  # type: ignore[no-untyped-def]
    return ManualClock().now()
