"""The state of each unit: the quick queries give what a plain look gives."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings

from voicecheck.errors import RecordNotFound
from voicecheck.round.answers import Severity
from voicecheck.store.fleet import SqlFleet
from voicecheck.store.ports import WalkRow
from voicecheck.store.unit_status import UnitState
from voicecheck.testing.invented_rows import Invented, put, stores


def plain(
    invented: Invented, unit: str
) -> tuple[UnitState, int, Severity | None, WalkRow | None]:
    """Look at every walk and defect of a unit."""
    own = [one for one in invented.defects if one.unit == unit]
    still = [one for one in own if one.open]
    newest = max(
        (walk for walk in invented.walks if walk.unit == unit),
        key=lambda walk: (walk.started_utc, walk.walk_id),
        default=None,
    )
    closed_utc = max((one.closed_utc or "" for one in own), default="")
    worst = max((one.severity for one in still), key=lambda s: s.rank, default=None)
    return (
        _state(any(one.holding for one in still), bool(still), newest, closed_utc),
        len(still),
        worst,
        newest,
    )


def _state(
    held: bool, has_open: bool, newest: WalkRow | None, closed_utc: str
) -> UnitState:
    if held:
        return UnitState.OUT_OF_SERVICE
    if newest is None:
        return UnitState.NOT_WALKED
    record = newest.record
    stopped = record is None or record.status != "signed"
    if stopped or (record.outcome == "out_of_service" and closed_utc < newest.last_utc):
        return UnitState.NOT_RELEASED
    return UnitState.MAY_WORK_WITH_DEFECTS if has_open else UnitState.MAY_WORK


@settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(invented=stores())
def test_every_unit_stands_as_its_walks_and_defects_say(
    fleet: SqlFleet, invented: Invented
) -> None:
    """Newest walk, open defects, last closing: all units, and each by itself."""
    put(fleet, invented)

    found = fleet.units()

    assert [one.unit for one in found] == sorted(invented.units)
    for one in found:
        told = (one.state, one.open_defects, one.worst, one.last_walk)
        assert told == plain(invented, one.unit)
        assert fleet.unit(one.unit) == one


def test_a_unit_that_nobody_knows_says_so(fleet: SqlFleet) -> None:
    """What to do next stands in the message."""
    with pytest.raises(RecordNotFound, match="fleet list"):
        fleet.unit("L-99")
