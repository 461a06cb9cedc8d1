"""Lists of walks: the quick query gives what a plain look at all walks gives."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from voicecheck.store.fleet import SqlFleet
from voicecheck.store.ports import WalkRow
from voicecheck.testing.invented_rows import TIMES, UNITS, Invented, put, stores


def plain(
    invented: Invented,
    unit: str | None,
    since_utc: str | None,
    until_utc: str | None,
    unfinished: bool,
) -> list[WalkRow]:
    """Look at every walk."""
    return [
        walk
        for walk in sorted(
            invented.walks,
            key=lambda walk: (walk.started_utc, walk.walk_id),
            reverse=True,
        )
        if unit in (None, walk.unit)
        and (since_utc is None or walk.started_utc >= since_utc)
        and (until_utc is None or walk.started_utc < until_utc)
        and not (unfinished and walk.record is not None)
    ]


@settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    invented=stores(),
    unit=st.none() | st.sampled_from(UNITS),
    since=st.none() | st.sampled_from(TIMES),
    until=st.none() | st.sampled_from(TIMES),
    unfinished=st.booleans(),
    limit=st.none() | st.integers(1, 5),
    offset=st.integers(0, 5),
)
def test_a_page_is_cut_out_of_the_whole_list(
    fleet: SqlFleet,
    invented: Invented,
    unit: str | None,
    since: str | None,
    until: str | None,
    unfinished: bool,
    limit: int | None,
    offset: int,
) -> None:
    """Whatever is filtered, and where the page begins and ends, ties included."""
    put(fleet, invented)

    found = fleet.walks(
        unit, since, until, limit=limit, offset=offset, unfinished=unfinished
    )

    whole = plain(invented, unit, since, until, unfinished)
    end = None if limit is None else offset + limit
    assert list(found) == whole[offset:end]
    assert fleet.count_walks(unit) == len(plain(invented, unit, None, None, False))
