"""Pages of open defects: the same as filtering all of them by hand."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from voicecheck.defects.story import Defect
from voicecheck.round.answers import Severity
from voicecheck.store.defect_list import Wanted
from voicecheck.store.fleet import SqlFleet
from voicecheck.testing.invented_rows import UNITS, Invented, put, stores


def wanted() -> st.SearchStrategy[Wanted]:
    """Draw filters; searches with capitals and with marks that SQL knows."""
    return st.builds(
        Wanted,
        unit=st.none() | st.sampled_from(UNITS),
        severity=st.none() | st.sampled_from(Severity),
        search=st.sampled_from(("", " ", "öl", "loose", "left tyre", "%", "_", "ä 3")),
        oldest_first=st.booleans(),
    )


def plain(defects: list[Defect], filters: Wanted) -> list[Defect]:
    """Filter and sort open defects one by one."""
    part = filters.search.strip().casefold()
    chosen = [
        one
        for one in defects
        if filters.severity in (None, one.severity)
        and part in f"{one.unit} {one.title} {one.words}".casefold()
    ]
    worst = 0 if filters.oldest_first else -1
    return sorted(
        chosen,
        key=lambda one: (worst * one.severity.rank, one.found_utc, one.defect_id),
    )


@settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    invented=stores(),
    filters=wanted(),
    limit=st.integers(1, 4),
    offset=st.integers(0, 4),
)
def test_a_page_is_cut_out_of_all_open_defects(
    fleet: SqlFleet, invented: Invented, filters: Wanted, limit: int, offset: int
) -> None:
    """Filters, search, order, counts: nothing open is lost, nothing closed shown."""
    put(fleet, invented)
    is_open = [
        one for one in invented.defects if one.open and filters.unit in (None, one.unit)
    ]

    page = fleet.open_page(filters, limit, offset)

    whole = plain(is_open, filters)
    assert list(page.defects) == whole[offset : offset + limit]
    assert (page.found, page.total) == (len(whole), len(is_open))
