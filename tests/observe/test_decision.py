"""The criteria decide, critical points fail at once, and doubt is said."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.observe.criteria import Criteria, CriticalPoint, default_criteria
from voicecheck.observe.decision import Decided, Standing, decide
from voicecheck.observe.events import ObserveEvent
from voicecheck.observe.marks import Mark, MarkKind, UnsafeAct
from voicecheck.observe.result import result
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()


def easy() -> Criteria:
    """Return criteria that three faults are enough for, and this walk meets."""
    usual = default_criteria()
    bounds = {"planted_found": 0.6, "coverage": 0.8, "false_alarms": 0.4}
    measures = tuple(
        one.model_copy(
            update={
                "least_trials": 3,
                "at_most" if one.at_most is not None else "at_least": bounds.get(
                    one.id, one.at_most if one.at_most is not None else one.at_least
                ),
            }
        )
        for one in usual.measures
    )
    return usual.model_copy(update={"measures": measures})


def decided(
    *extra: ObserveEvent, criteria: Criteria | None = None, reason: str = ""
) -> Decided:
    """Return the decision on the watched walk."""
    seen = w.watched(SMALL, extra, criteria, reason)
    return decide(result(seen, SMALL))


def test_the_default_criteria_on_the_watched_walk() -> None:
    """Coverage 8/10 is too little; three faults and three trials are too few."""
    found = decided()

    assert {one.criterion.id: one.standing for one in found.measures} == {
        "planted_found": Standing.CANNOT_TELL,
        "coverage": Standing.NOT_MET,
        "order": Standing.MET,
        "false_alarms": Standing.CANNOT_TELL,
        "unsafe_acts": Standing.MET,
    }
    assert found.standing is Standing.NOT_MET


def test_how_many_faults_the_bound_would_need() -> None:
    """80 % found, 95 % sure, one missed: 22, the least n with
    0.8^n + n 0.2 0.8^(n-1) <= 0.05."""
    [found] = [o for o in decided().measures if o.criterion.id == "planted_found"]

    assert found.needed == 22


def test_a_bound_that_nobody_could_show_names_no_number() -> None:
    """All of them found would need endless faults."""
    usual = default_criteria()
    first = usual.measures[0].model_copy(update={"at_least": 1.0})
    strict = usual.model_copy(update={"measures": (first, *usual.measures[1:])})

    assert decided(criteria=strict).measures[0].needed is None


def test_met_is_not_sure_with_few() -> None:
    """All criteria are met, and the interval still reaches below the bound."""
    found = decided(criteria=easy())

    assert found.standing is Standing.MET
    sure = {one.criterion.id: one.sure for one in found.measures}
    assert sure["planted_found"] is False
    assert sure["order"] is None


@pytest.mark.parametrize(
    "act",
    [
        UnsafeAct.CAB_CHECK_SKIPPED,
        UnsafeAct.THREE_POINTS_BROKEN,
        UnsafeAct.HOT_COOLANT_OPENED,
    ],
)
def test_a_critical_act_fails_at_once(act: UnsafeAct) -> None:
    """Whatever else was good."""
    found = decided(w.mark(50, MarkKind.UNSAFE, 20, act=act), criteria=easy())

    assert found.standing is Standing.NOT_MET
    assert [one.point.id for one in found.failed_at_once] == [act.value]


def test_missing_a_critical_fault_fails_at_once() -> None:
    """The fuel leak was called by mistake: the assessor takes the mark back."""
    from uuid import UUID

    from voicecheck.observe.marks import Retraction

    gone = Retraction(
        key=UUID(int=60),
        observation=w.OBSERVATION,
        mark=UUID(int=23),
        at_utc=w.at(130),
        by=w.ASSESSOR,
    )

    found = decided(gone, criteria=easy())

    [failed] = found.failed_at_once
    assert (failed.point.id, failed.where) == (
        "critical_fault_missed",
        ("leaks_below",),
    )


def test_a_point_that_must_not_be_missed() -> None:
    """Missed fails; unmarked is not known, and silence is no "good"."""
    usual = easy()
    cab = usual.critical[0].model_copy(update={"missed": ("belts",)})
    strict = usual.model_copy(update={"critical": (cab,)})

    assert decided(criteria=strict).standing is Standing.NOT_MET

    horn = CriticalPoint(id="x", missed=("nobody_near",), text="x", source="x")
    closed = w.sealed(SMALL, usual.model_copy(update={"critical": (horn,)}))
    unmarked = [one for one in w.marks() if one.checkpoint != "nobody_near"]
    seen = w.fold(w.OBSERVATION, [w.begun(SMALL, closed), *unmarked, *w.ending(closed)])
    [point] = decide(result(seen, SMALL)).critical
    assert point.standing is Standing.CANNOT_TELL
    assert point.unknown == ("nobody_near",)


def test_a_walk_that_was_broken_off_is_never_met() -> None:
    """Nothing can be told of the rest."""
    found = decided(criteria=easy(), reason="rain")

    assert found.standing is Standing.CANNOT_TELL


def test_a_changed_scenario_is_never_met() -> None:
    """The figures are shown, and nothing is decided on them."""
    closed, other = w.sealed(SMALL, easy()), w.sealed(SMALL)
    seen = w.fold(w.OBSERVATION, [w.begun(SMALL, other), *w.marks(), *w.ending(closed)])

    assert decide(result(seen, SMALL)).standing is Standing.CANNOT_TELL


KINDS = st.sampled_from(
    [
        MarkKind.LOOKED,
        MarkKind.GLANCED,
        MarkKind.MISSED,
        MarkKind.CALLED,
        MarkKind.UNSAFE,
    ]
)


@st.composite
def any_marks(draw: st.DrawFn) -> list[Mark]:
    """Marks of any kind at any points; most walks are good ones."""
    made = []
    good = draw(st.booleans())
    for place, point in enumerate(w.WAY, start=1):
        if good or draw(st.booleans()):
            made.append(w.mark(place, MarkKind.LOOKED, 10.0 * place, point))
        if point in ("left_wheel", "leaks_below", "engine_oil") and draw(st.booleans()):
            made.append(w.mark(100 + place, MarkKind.CALLED, 10.0 * place + 1, point))
    for number in range(draw(st.integers(0, 3))):
        kind = draw(KINDS)
        point = draw(st.sampled_from(w.WAY))
        act = draw(st.sampled_from(UnsafeAct)) if kind is MarkKind.UNSAFE else None
        made.append(
            w.mark(200 + number, kind, draw(st.integers(1, 110)), point, act=act)
        )
    return made


@settings(max_examples=150, deadline=None)
@given(marks=any_marks())
def test_nobody_meets_the_criteria_with_a_critical_failure(marks: list[Mark]) -> None:
    """Whatever is marked: met means that the fuel leak was called, that no unsafe act
    was marked, and that enough points were looked at."""
    closed = w.sealed(SMALL, easy())
    seen = w.fold(w.OBSERVATION, [w.begun(SMALL, closed), *marks, *w.ending(closed)])
    found = result(seen, SMALL)
    standing = decide(found).standing

    called = {mark.checkpoint for mark in marks if mark.kind is MarkKind.CALLED}
    unsafe = [mark for mark in marks if mark.kind is MarkKind.UNSAFE]
    if standing is Standing.MET:
        assert "leaks_below" in called
        assert not unsafe
        assert len(called & {"left_wheel", "leaks_below", "engine_oil"}) >= 2
        assert found.coverage.count >= 8
    if "leaks_below" not in called or unsafe:
        assert standing is Standing.NOT_MET
