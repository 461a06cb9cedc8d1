"""Whatever breaks when, in whatever order devices push: nothing lost or doubled."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from voicecheck.clock import ManualClock
from voicecheck.defects.events import RepairDone, RepairStarted
from voicecheck.store.database_far_end import DatabaseFarEnd
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.store.transfer import Transfer, transfer
from voicecheck.store.workshop import Workshop
from voicecheck.testing.pushing import (
    JOURNAL,
    BreakingLink,
    check_whole,
    walked,
    whole,
)

DEVICES = ("one", "two")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make two devices that know one defect and went on with it apart."""
    folder, clock = tmp_path_factory.mktemp("made"), ManualClock()
    one, two = (folder / name for name in DEVICES)
    walked(one, "L-12", bad=True, clock=clock)
    with (
        open_fleet(one / JOURNAL, folder=one) as first,
        open_fleet(two / JOURNAL, folder=two) as second,
    ):
        transfer(first, DatabaseFarEnd(second))
    walked(one, "L-13", operator="J.Doe", clock=clock)
    walked(two, "L-14", operator="M.Roe", clock=clock)
    with (
        Workshop.open(one / JOURNAL) as here,
        Workshop.open(two / JOURNAL) as there,
        open_fleet(one / JOURNAL) as fleet,
    ):
        defect_id = fleet.open_defects("L-12")[0].defect_id
        here.record(defect_id, RepairStarted(note="one"), at=clock.now(), by="M.Roe")
        there.record(defect_id, RepairStarted(note="two"), at=clock.now(), by="C.Poe")
        here.record(defect_id, RepairDone(done="hose"), at=clock.now(), by="M.Roe")
    open_fleet(folder / "far.sqlite3").close()
    return folder


@pytest.fixture(scope="module")
def wanted(made: Path, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Give all that the far end must hold in the end: pushed without any cut."""
    path = tmp_path_factory.mktemp("wanted") / "far.sqlite3"
    with open_fleet(path) as far:
        for name in DEVICES:
            with open_device(made, name) as near:
                assert transfer(near, DatabaseFarEnd(far)).ok
        return whole(far)


def open_device(folder: Path, name: str) -> SqlFleet:
    """Open the store of a device."""
    return open_fleet(folder / name / JOURNAL, folder=folder / name)


TRIES = st.lists(
    st.tuples(
        st.sampled_from(DEVICES),
        st.integers(min_value=0, max_value=25),
        st.sampled_from(["before", "after"]),
        st.sampled_from([1, 3_000, 400_000]),
    ),
    max_size=6,
)
"""Which device pushes, at which call the link breaks, how, and size of batches."""


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(tries=TRIES)
def test_any_order_of_cuts_ends_in_the_same_store(
    made: Path, wanted: bytes, tries: list[tuple[str, int, str, int]]
) -> None:
    """After each cut the far end is whole; pushes without cuts bring the rest."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "far.sqlite3"
        shutil.copy(made / "far.sqlite3", path)
        with open_fleet(path) as far:
            for device, at, how, characters in tries:
                result = cut_push(made, device, far, at, how, characters)
                assert result.problems == ()
            check_whole(path)
            for device in DEVICES:
                result = cut_push(made, device, far, 10**9, "", 400_000)
                assert result.ok
            assert whole(far) == wanted


def cut_push(
    made: Path, device: str, far: SqlFleet, at: int, how: str, characters: int
) -> Transfer:
    """Push a device over a link that breaks at one call."""
    link = BreakingLink(DatabaseFarEnd(far), lambda number: how if number == at else "")
    with open_device(made, device) as near:
        return transfer(near, link, batch_characters=characters)


def test_a_cut_is_told_and_not_a_problem_of_a_walk(made: Path, tmp_path: Path) -> None:
    """The result says that it ended early; what came over is counted."""
    with open_fleet(tmp_path / "far.sqlite3") as far:
        result = cut_push(made, "one", far, 6, "before", 1)

        assert not result.ok
        assert result.cut == "the link broke"
        assert result.problems == ()


def test_defects_come_before_the_walks_that_found_them(
    made: Path, tmp_path: Path
) -> None:
    """Cut at any call: no walk with findings is there without its defects."""
    at, cut = 0, "not yet"
    while cut:
        path = tmp_path / f"far{at}.sqlite3"
        shutil.copy(made / "far.sqlite3", path)
        with open_fleet(path) as far:
            cut = cut_push(made, "one", far, at, "before", 5_000).cut
            found = [walk for walk in far.walks("L-12") if walk.record]
            assert not found or len(far.open_defects("L-12")) == 5
        at += 1
    assert at > 8
