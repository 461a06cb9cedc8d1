"""Numbers on the plan view never cover each other."""

from __future__ import annotations

import math
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from voicecheck.report.plan import HEIGHT, MARK_RADIUS, WIDTH, marks

SHARES = st.floats(0, 1)
PLACES = st.lists(st.tuples(SHARES, SHARES), max_size=30)


@given(PLACES)
def test_marks_never_cover_each_other(places: list[tuple[float, float]]) -> None:
    """Thirty findings anywhere, all in one zone too, can all be read."""
    wanted = [(number, x, y, False) for number, (x, y) in enumerate(places)]

    for one, other in combinations(marks(wanted), 2):
        assert math.hypot(one.x - other.x, one.y - other.y) >= 2 * MARK_RADIUS


@given(PLACES)
def test_marks_stay_on_the_drawing(places: list[tuple[float, float]]) -> None:
    """No number is cut off at the edge."""
    wanted = [(number, x, y, True) for number, (x, y) in enumerate(places)]

    for mark in marks(wanted):
        assert MARK_RADIUS <= mark.x <= WIDTH - MARK_RADIUS
        assert MARK_RADIUS <= mark.y <= HEIGHT - MARK_RADIUS


def test_a_mark_alone_stands_at_its_place() -> None:
    """The first number of a zone is where the zone is, without a line."""
    (mark,) = marks([(1, 0.5, 0.25, True)])

    assert (mark.x, mark.y) == (WIDTH / 2, HEIGHT / 4)
    assert not mark.has_line


def test_a_mark_that_had_to_move_has_a_line() -> None:
    """The second number of a zone stands beside it and points to it."""
    first, second = marks([(1, 0.5, 0.5, True), (2, 0.5, 0.5, True)])

    assert not first.has_line
    assert second.has_line
    assert (second.anchor_x, second.anchor_y) == (first.x, first.y)
