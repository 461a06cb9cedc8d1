"""Devices with walks, and links that break: for tests of push."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

from voicecheck.clock import ManualClock
from voicecheck.errors import LinkLost
from voicecheck.form.filling import fill
from voicecheck.store.conflicts import Conflict
from voicecheck.store.dump import export_lines
from voicecheck.store.far_end import Asked, FarEnd, Have, Parcel, Receipt
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.store.journal import open_journal
from voicecheck.store.session import WalkSession
from voicecheck.testing.small_checklist import (
    bad_answers,
    good_answers,
    small_checklist,
)

JOURNAL = "journal.sqlite3"
T = TypeVar("T")


def walked(
    folder: Path,
    unit: str = "L-12",
    *,
    bad: bool = False,
    operator: str = "kim",
    clock: ManualClock | None = None,
) -> str:
    """Walk round a unit on the device of this folder; return the id of the walk.

    Args:
        folder: the home folder of the device.
        unit: the machine.
        bad: five things are wrong with it.
        operator: who walks.
        clock: goes on by two minutes.
    """
    clock = clock or ManualClock()
    with open_journal(folder / JOURNAL) as journal:
        session = WalkSession.start(
            journal,
            clock,
            small_checklist(),
            unit=unit,
            operator=operator,
            folder=folder,
            mode="typed",
        )
        clock.advance(60)
        fill(session, bad_answers() if bad else good_answers())
        session.finish()
        clock.advance(60)
    return session.walk_id


def whole(store: SqlFleet) -> bytes:
    """Return all that a store holds."""
    return b"".join(export_lines(store))


def check_whole(where: Path | str) -> None:
    """Check that every walk, record and defect of a store holds together."""
    with open_journal(where) as journal, open_fleet(where) as fleet:
        for walk_id in journal.ids():
            found = journal.verify(walk_id)
            assert found.ok, found
        for defect in fleet.defects():
            assert fleet.defect(defect.defect_id).defect == defect
        for walk in fleet.walks():
            if walk.record:
                assert fleet.record(walk.walk_id)["record_id"] == walk.walk_id


class BreakingLink:
    """A far end behind a link that breaks: before a call comes through, or after.

    Args:
        far: the far end.
        breaks: asked at each call for its number, from 0 on; "before" or "after"
            breaks the link then, anything else lets the call through.
    """

    def __init__(self, far: FarEnd, breaks: Callable[[int], str]) -> None:
        self.calls = 0
        self.place = far.place
        self._far = far
        self._breaks = breaks

    def have(self, asked: Asked) -> Have:
        """Ask, if the link holds; see `FarEnd.have`."""
        return self._through(lambda: self._far.have(asked))

    def take(self, parcels: Sequence[Parcel]) -> tuple[Receipt, ...]:
        """Give, if the link holds; see `FarEnd.take`."""
        return self._through(lambda: self._far.take(parcels))

    def conflicts(self, units: Sequence[str]) -> tuple[Conflict, ...]:
        """Ask, if the link holds; see `FarEnd.conflicts`."""
        return self._through(lambda: self._far.conflicts(units))

    def _through(self, call: Callable[[], T]) -> T:
        when = self._breaks(self.calls)
        self.calls += 1
        if when == "before":
            raise LinkLost("the link broke")
        answer = call()
        if when == "after":
            raise LinkLost("the link broke")
        return answer
