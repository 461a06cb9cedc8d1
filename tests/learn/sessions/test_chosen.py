"""Which part of a walk is practised."""

from __future__ import annotations

import pytest

from voicecheck.errors import LearnError
from voicecheck.learn.sessions.chosen import chosen_zones
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()


def test_zones_come_in_walking_order() -> None:
    """In whatever order they are named; unnamed, all."""
    assert chosen_zones(SMALL, None) == SMALL.zones
    assert [z.id for z in chosen_zones(SMALL, ["cab", "approach"])] == [
        "approach",
        "cab",
    ]


@pytest.mark.parametrize(
    ("zones", "named"), [(["roof"], "no zone roof"), ([], "no zone was named")]
)
def test_what_is_not_there_is_named_with_what_is(zones: list[str], named: str) -> None:
    """The error lists the zones."""
    with pytest.raises(LearnError, match=f"{named}; there are: approach, left_side"):
        chosen_zones(SMALL, zones)
