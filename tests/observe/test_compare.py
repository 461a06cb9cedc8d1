"""Two assessors of one walk, against an agreement worked out by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

import pytest

from voicecheck.errors import ObserveError
from voicecheck.observe.compare import compare
from voicecheck.observe.marks import Mark, MarkKind, UnsafeAct
from voicecheck.observe.observation import Observation, fold
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()
OTHER = UUID(int=2)
LOOKED, GLANCED, MISSED = MarkKind.LOOKED, MarkKind.GLANCED, MarkKind.MISSED


def seen(
    by: str, marks: Sequence[Mark], observation: UUID, trainee: str = "J.Doe"
) -> Observation:
    """Return an observation by an assessor."""
    closed = w.sealed(SMALL)
    begun = replace(
        w.begun(SMALL, closed), by=by, observation=observation, trainee=trainee
    )
    mine = [replace(mark, by=by, observation=observation) for mark in marks]
    return fold(observation, [begun, *mine])


def looks(kinds: Sequence[MarkKind | None]) -> list[Mark]:
    """Return one mark for each point in the order of the checklist."""
    return [
        w.mark(place, kind, 10.0 * place, w.WAY[place - 1])
        for place, kind in enumerate(kinds, start=1)
        if kind is not None
    ]


FIRST = looks([LOOKED] * 6 + [GLANCED, GLANCED, MISSED, None])
SECOND = looks([LOOKED] * 5 + [GLANCED, GLANCED, MISSED, MISSED, LOOKED])


def test_linear_kappa_by_hand() -> None:
    """Nine points: [5 1 0], [0 1 1], [0 0 1].

    Weights 0, 1, 2. Observed: 2 steps of 9, 0.2222. Expected, from the margins
    6 2 1 and 5 2 2: (6*2*1 + 6*2*2 + 2*5*1 + 2*2*1 + 1*5*2 + 1*2*1) / 81 =
    62 / 81 = 0.7654. Kappa 1 - 0.2222 / 0.7654 = 0.7097.
    """
    found = compare(
        seen("C.Poe", FIRST, w.OBSERVATION), seen("A.Lee", SECOND, OTHER), SMALL
    )

    assert found.looks.count == 9
    assert found.looks.value == pytest.approx(1 - (2 / 9) / (62 / 81))
    assert found.looks.observed == pytest.approx(7 / 9)
    assert found.looks.rows == (6, 2, 1)
    assert found.looks.columns == (5, 2, 2)


def test_points_to_talk_about_and_points_of_one() -> None:
    """They differ at two, and the camera was marked by one of them only."""
    found = compare(
        seen("C.Poe", FIRST, w.OBSERVATION), seen("A.Lee", SECOND, OTHER), SMALL
    )

    assert [pair.checkpoint for pair in found.to_talk_about] == ["leaks_below", "belts"]
    assert [pair.checkpoint for pair in found.only_one] == ["camera"]


def test_calls_and_unsafe_acts_come_first() -> None:
    """What one called and the other did not weighs more than a glance."""
    act = UnsafeAct.THREE_POINTS_BROKEN
    first = [
        *looks([LOOKED, MISSED, LOOKED, LOOKED]),
        w.mark(20, MarkKind.CALLED, 35, w.WAY[2]),
        w.mark(21, MarkKind.UNSAFE, 36, w.WAY[3], act=act),
        w.mark(22, MarkKind.UNSAFE, 37),
    ]
    second = looks([LOOKED, LOOKED, LOOKED, LOOKED])

    found = compare(
        seen("C.Poe", first, w.OBSERVATION), seen("A.Lee", second, OTHER), SMALL
    )

    assert [pair.checkpoint for pair in found.to_talk_about] == [
        w.WAY[3],
        w.WAY[2],
        w.WAY[1],
    ]
    assert found.elsewhere == ((UnsafeAct.OTHER,), ())
    assert found.calls.count == 4


def test_one_and_the_same_mark_gives_no_kappa() -> None:
    """No spread: neither 1 nor 0 would be true."""
    same = looks([LOOKED] * 10)

    found = compare(
        seen("C.Poe", same, w.OBSERVATION), seen("A.Lee", same, OTHER), SMALL
    )

    assert found.looks.value is None
    assert found.looks.observed == 1.0
    assert found.to_talk_about == ()


@pytest.mark.parametrize(
    ("by", "observation", "trainee"),
    [
        ("C.Poe", OTHER, "J.Doe"),
        ("A.Lee", w.OBSERVATION, "J.Doe"),
        ("A.Lee", OTHER, "K.Moe"),
    ],
    ids=["same assessor", "same observation", "another trainee"],
)
def test_what_is_not_one_walk_is_refused(
    by: str, observation: UUID, trainee: str
) -> None:
    """With a sentence."""
    with pytest.raises(ObserveError):
        compare(
            seen("C.Poe", FIRST, w.OBSERVATION),
            seen(by, SECOND, observation, trainee),
            SMALL,
        )
