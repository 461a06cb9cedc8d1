"""The rules of keeping: what must be kept whatever the site says."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from voicecheck.clock import ManualClock
from voicecheck.defects.events import RepairChecked, RepairDone, UnitReleased
from voicecheck.errors import KeepingError, UsageError
from voicecheck.form.filling import fill
from voicecheck.store.fleet import open_fleet
from voicecheck.store.journal import open_journal
from voicecheck.store.keeping import Policy, load_policy
from voicecheck.store.purge import Purge
from voicecheck.store.session import WalkSession
from voicecheck.store.workshop import Workshop
from voicecheck.testing.small_checklist import (
    bad_answers,
    good_answers,
    small_checklist,
)

FIVE_DAYS = Policy(keep_days=5, keep_days_after_correction=0)


def day(month: int, number: int) -> datetime:
    """Return six in the morning of a day of 2026."""
    return datetime(2026, month, number, 6, 0, tzinfo=UTC)


def walked(folder: Path, at: datetime, *, bad: bool = False) -> str:
    """Walk round L-12; return the id of the walk."""
    with open_journal(folder / "journal.sqlite3") as journal:
        session = WalkSession.start(
            journal, ManualClock(at), small_checklist(), unit="L-12", folder=folder
        )
        fill(session, bad_answers() if bad else good_answers())
        session.finish()
    return session.walk_id


def corrected(folder: Path, at: datetime) -> None:
    """Repair, check and release everything that is open."""
    with Workshop.open(folder / "journal.sqlite3") as workshop:
        for one in workshop.open_defects("L-12"):
            for step in (RepairDone(done="x"), RepairChecked(good=True)):
                workshop.record(one.defect_id, step, at=at, by="M.Roe")
            if one.holding:
                workshop.record(one.defect_id, UnitReleased(), at=at, by="C.Poe")


@pytest.fixture
def found(tmp_path: Path) -> str:
    """Give a walk of 3 March that found safety defects."""
    return walked(tmp_path, day(3, 3), bad=True)


def test_a_safety_defect_that_is_not_corrected_is_kept(
    found: str, tmp_path: Path
) -> None:
    """Found 3 March, corrected 19 March, purge on 10 March: refused, with reasons.

    Source: 30 CFR 56.14100(d): the record is kept until the defect is corrected.
    """
    with Purge.open(tmp_path / "journal.sqlite3") as store:
        with pytest.raises(KeepingError, match=r"56\.14100\(d\)"):
            store.throw_away([found], FIVE_DAYS, day(3, 10), tmp_path)

        assert len(store.judge(FIVE_DAYS, day(3, 10))) == 1


def test_after_the_correction_it_may_go(found: str, tmp_path: Path) -> None:
    """Corrected 19 March, purge on 1 April: it goes, and that is written down."""
    corrected(tmp_path, day(3, 19))
    newer = walked(tmp_path, day(3, 20))
    path = tmp_path / "journal.sqlite3"

    with Purge.open(path) as store:
        gone = store.throw_away([found], FIVE_DAYS, day(4, 1), tmp_path)

    assert [one.walk.walk_id for one in gone] == [found]
    assert not (tmp_path / "records" / f"{found}.json").exists()
    with open_fleet(path) as fleet, open_journal(path) as journal:
        assert [walk.walk_id for walk in fleet.walks()] == [newer]
        assert fleet.defects() == ()
        assert journal.ids() == (newer,)
        assert journal.verify(newer).ok


def test_the_site_can_keep_longer(found: str, tmp_path: Path) -> None:
    """A longer rule of the site holds after the correction as well."""
    corrected(tmp_path, day(3, 19))
    walked(tmp_path, day(3, 20))
    policy = Policy(keep_days=5, keep_days_after_correction=30)

    with Purge.open(tmp_path / "journal.sqlite3") as store:
        verdicts = {one.walk.walk_id: one for one in store.judge(policy, day(4, 1))}

    assert verdicts[found].reasons == ("the site keeps it until 2026-04-18",)


def test_the_newest_walk_of_a_unit_stays(tmp_path: Path) -> None:
    """Source: PUWER 1998 reg. 6(3): kept until the next inspection is recorded."""
    only = walked(tmp_path, day(1, 5))

    with (
        Purge.open(tmp_path / "journal.sqlite3") as store,
        pytest.raises(KeepingError, match="newest signed walk"),
    ):
        store.throw_away([only], Policy(keep_days=0), day(12, 31), tmp_path)


def test_one_that_must_stay_keeps_all(found: str, tmp_path: Path) -> None:
    """All or nothing: the list is wrong, so nothing is thrown away."""
    with open_journal(tmp_path / "journal.sqlite3") as journal:
        before = journal.ids()
    with (
        Purge.open(tmp_path / "journal.sqlite3") as store,
        pytest.raises(KeepingError),
    ):
        store.throw_away([found], FIVE_DAYS, day(3, 10), tmp_path)

    with open_journal(tmp_path / "journal.sqlite3") as journal:
        assert journal.ids() == before


def test_a_policy_is_read_from_toml(tmp_path: Path) -> None:
    """Two whole numbers of days."""
    path = tmp_path / "site.toml"
    path.write_text("keep_days = 90\nkeep_days_after_correction = 14\n")

    assert load_policy(path) == Policy(keep_days=90, keep_days_after_correction=14)


@pytest.mark.parametrize(
    "text", ["keep_days = -1", "keep_days = 'long'", "kept = 3", "keep_days ="]
)
def test_a_broken_policy_is_refused(tmp_path: Path, text: str) -> None:
    """With the key that is wrong."""
    path = tmp_path / "site.toml"
    path.write_text(text)

    with pytest.raises(UsageError, match="the policy"):
        load_policy(path)
