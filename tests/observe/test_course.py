"""A course across trainees: items, and what could be changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

import pytest

from voicecheck.observe.course import Course, Hint, course
from voicecheck.observe.events import ObserveEvent
from voicecheck.observe.marks import MarkKind
from voicecheck.observe.observation import fold
from voicecheck.observe.result import Result, result
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()
SEALED = w.sealed(SMALL)
PLANTED = ("left_wheel", "leaks_below", "engine_oil")


def walk(number: int, found: Sequence[str], seconds: float = 0, **how: str) -> Result:
    """Return the result of a trainee who called these points.

    Args:
        number: of the trainee.
        found: points called.
        seconds: after which the observation began.
        how: a mark of looking for a point, where it is not "looked".
    """
    me = UUID(int=1000 + number + int(seconds))
    begun = replace(
        w.begun(SMALL, SEALED),
        observation=me,
        trainee=f"T-{number}",
        at_utc=w.at(seconds),
    )
    events: list[ObserveEvent] = [begun]
    for place, point in enumerate(w.WAY, start=1):
        at = seconds + 10.0 * place
        kind = MarkKind(how.get(point, "looked"))
        events.append(replace(w.mark(place, kind, at, point), observation=me))
        if point in found:
            called = w.mark(100 + place, MarkKind.CALLED, at + 1, point)
            events.append(replace(called, observation=me))
    ends = [replace(e, observation=me) for e in w.ending(SEALED, seconds + 200)]
    return result(fold(me, [*events, *ends]), SMALL)


def hints(found: Course) -> set[tuple[Hint, str]]:
    """Return what is suggested, and where."""
    return {(one.hint, one.where) for one in found.suggestions}


def test_items_and_hints_by_hand() -> None:
    """Four trainees: wheel 4 of 4, leak 1 of 4 (passed by), oil 1 of 4 (looked)."""
    found = course(
        [
            walk(1, PLANTED),
            walk(2, ["left_wheel"], leaks_below="missed"),
            walk(3, ["left_wheel"], leaks_below="missed"),
            walk(4, ["left_wheel"], leaks_below="glanced"),
        ]
    )

    by = {item.fault.checkpoint: item for item in found.items}
    assert by["left_wheel"].figures.difficulty == 1.0
    assert by["leaks_below"].figures.difficulty == 0.25
    assert by["engine_oil"].figures.right == 1
    assert [item.fault.checkpoint for item in found.items][-1] == "left_wheel"
    assert hints(found) == {
        (Hint.EASY, "left_wheel"),
        (Hint.HARD, "leaks_below"),
        (Hint.HARD_PASSED, "leaks_below"),
        (Hint.HARD, "engine_oil"),
        (Hint.HARD_LOOKED, "engine_oil"),
    }
    assert found.figures.alpha is None  # four are too few


def test_the_first_observation_of_a_trainee_counts() -> None:
    """The second one is of somebody who knows."""
    found = course([walk(1, PLANTED, 5000), walk(1, [], 0), walk(2, [])])

    assert (found.observations, found.trainees) == (3, 2)
    assert [item.figures.right for item in found.items] == [0, 0, 0]


def test_a_fault_against_the_rest_is_told() -> None:
    """Twelve trainees: who finds the oil finds nothing else.

    Item and rest are turned round exactly, so the correlation is -1.
    """
    weak = [walk(n, ["engine_oil"]) for n in range(6)]
    strong = [walk(n, ["left_wheel", "leaks_below"]) for n in range(6, 12)]

    found = course([*weak, *strong])

    by = {item.fault.checkpoint: item.figures for item in found.items}
    assert by["engine_oil"].discrimination == pytest.approx(-1.0)
    assert (Hint.TURNED, "engine_oil") in hints(found)


def test_a_weak_turn_is_not_told() -> None:
    """r = -1/3 over twelve: the interval holds 0 (Fisher: -0.76 ... 0.30).

    Six find the oil; of the six others four find the wheel, of those with the oil
    two do: phi = (2*2 - 4*4) / 36 = -1/3.
    """
    oil, wheel = "engine_oil", "left_wheel"
    both = [walk(n, [oil, wheel]) for n in range(2)]
    only = [walk(n, [oil]) for n in range(2, 6)]
    other = [walk(n, [wheel]) for n in range(6, 10)]
    none = [walk(n, []) for n in range(10, 12)]

    found = course([*both, *only, *other, *none])

    by = {item.fault.checkpoint: item.figures for item in found.items}
    assert by[oil].discrimination == pytest.approx(-1 / 3)
    assert (Hint.TURNED, oil) not in hints(found)


def test_a_zone_that_is_often_out_of_its_place_is_told() -> None:
    """The engine before the left side, in three of three."""
    moved = []
    for number in range(3):
        one = w.watched(SMALL)
        begun = replace(one.begun, trainee=f"T-{number}") if one.begun else None
        moved.append(result(replace(one, begun=begun), SMALL))

    found = course(moved)

    places = {one.where for one in found.suggestions if one.hint is Hint.ORDER}
    assert len(places) == 1
    assert places <= {"engine", "left_side"}


def test_few_trainees_suggest_nothing() -> None:
    """Two missed it: that may be chance."""
    assert course([walk(1, []), walk(2, [])]).suggestions == ()
    assert course([]).items == ()
