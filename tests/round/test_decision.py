"""The decision: the worst rule that applies, and nothing that loosens it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.round import answers as an
from voicecheck.round.checklist import (
    Checklist,
    CheckpointKind,
    Outcome,
    ReadingState,
    Rule,
)
from voicecheck.round.decision import (
    FindingKind,
    answer_name,
    applies,
    decide,
    finding_kind,
    findings,
)
from voicecheck.testing.small_checklist import (
    bad_answers,
    good_answers,
    small_checklist,
)
from voicecheck.testing.strategies import answer_at

CHECKLIST = small_checklist()
GOOD = good_answers()
BAD = bad_answers()
FEW = settings(max_examples=25, deadline=None)
NAMES = [
    "yes",
    "no",
    "good",
    "defect",
    "leak",
    "not_fitted",
    "could_not_check",
    "level",
    "reading",
]
LEVELS_WORSENING = ("full", "between", "unknown", "low", "empty")
"""From the best to the worst; an unknown level is worse than one in range."""


def worse_than(*order: str) -> st.SearchStrategy[tuple[str, ...]]:
    """Sets that name, with a level, every worse one too; or nothing."""
    return st.integers(0, len(order)).map(lambda first: order[first:])


def rules(levels_closed: bool) -> st.SearchStrategy[Rule]:
    """Rules of any form; the sets of levels closed towards the worse, or any."""
    levels: st.SearchStrategy[tuple[an.Level, ...]]
    fluid_levels: st.SearchStrategy[tuple[str, ...]]
    if levels_closed:
        levels = worse_than(*an.Level).map(lambda names: tuple(map(an.Level, names)))
        fluid_levels = worse_than(*LEVELS_WORSENING)
    else:
        levels = st.lists(st.sampled_from(an.Level), max_size=2).map(tuple)
        fluid_levels = st.lists(st.sampled_from(LEVELS_WORSENING), max_size=2).map(
            tuple
        )
    return st.builds(
        Rule,
        id=st.just("generated"),
        outcome=st.sampled_from(Outcome),
        text=st.just("A rule."),
        source=st.just("generated"),
        answers=st.lists(st.sampled_from(NAMES), max_size=2).map(tuple),
        checkpoints=st.lists(st.sampled_from(list(GOOD)), max_size=2).map(tuple),
        tags=st.lists(st.sampled_from(["wheels", "warning"]), max_size=1).map(tuple),
        severity_at_least=st.none() | st.sampled_from(an.Severity),
        leak_class_at_least=st.none() | st.sampled_from(an.LeakClass),
        fluids=st.lists(st.sampled_from(["fuel", "engine_oil"]), max_size=1).map(tuple),
        levels=levels,
        reading_states=st.just(()),
        fluid_level_in=fluid_levels,
    )


def checklists_with(levels_closed: bool) -> st.SearchStrategy[Checklist]:
    """The small checklist with rules of any form."""
    return st.lists(rules(levels_closed), max_size=6).map(
        lambda some: replace(CHECKLIST, rules=tuple(some))
    )


def rank(checklist: Checklist, answers: Mapping[str, an.Answer]) -> int:
    """Return how strict the decision of a finished walk is."""
    return decide(checklist, answers, finished=True).outcome.rank


answers_so_far = st.fixed_dictionaries(
    {},
    optional={point.id: answer_at(CHECKLIST, point) for point in CHECKLIST.checkpoints},
)
"""Answers to some of the points."""


@given(checklists_with(False), rules(False), answers_so_far)
@FEW
def test_one_more_rule_never_loosens(
    checklist: Checklist, more: Rule, answers: dict[str, an.Answer]
) -> None:
    """A site can only tighten, even with a rule that says "may work"."""
    stricter = replace(checklist, rules=(*checklist.rules, more))

    assert rank(stricter, answers) >= rank(checklist, answers)


@given(checklists_with(True), answers_so_far, st.data())
@FEW
def test_one_more_finding_never_loosens(
    checklist: Checklist, answers: dict[str, an.Answer], data: st.DataObject
) -> None:
    """Neither at a point not answered yet nor in place of an answer that is well."""
    open_points = [
        p
        for p in checklist.checkpoints
        if p.id not in answers or finding_kind(p, answers[p.id]) is None
    ]
    if not open_points:
        return
    point = data.draw(st.sampled_from(open_points))
    found = data.draw(
        answer_at(checklist, point).filter(lambda a: finding_kind(point, a) is not None)
    )

    more = {**answers, point.id: found}

    assert rank(checklist, more) >= rank(checklist, answers)


@given(
    checklists_with(False),
    answers_so_far,
    st.sampled_from(["left_wheel", "horn", "camera", "belts"]),
    st.sampled_from(an.Fault),
    st.lists(st.sampled_from(an.Severity), min_size=2, max_size=2),
)
@FEW
def test_a_higher_severity_never_loosens(
    checklist: Checklist,
    answers: dict[str, an.Answer],
    point_id: str,
    fault: an.Fault,
    severities: list[an.Severity],
) -> None:
    """The same defect, said to be worse."""
    milder, worse = sorted(severities, key=lambda s: s.rank)

    def with_severity(severity: an.Severity) -> dict[str, an.Answer]:
        return {**answers, point_id: an.Defect(fault=fault, severity=severity)}

    assert rank(checklist, with_severity(worse)) >= rank(
        checklist, with_severity(milder)
    )


@given(
    checklists_with(False),
    answers_so_far,
    st.sampled_from(["fuel", "engine_oil"]),
    st.lists(st.sampled_from(an.LeakClass), min_size=2, max_size=2),
)
@FEW
def test_a_higher_leak_class_never_loosens(
    checklist: Checklist,
    answers: dict[str, an.Answer],
    fluid: str,
    classes: list[an.LeakClass],
) -> None:
    """The same leak, seen to drip more."""
    milder, worse = sorted(classes, key=lambda c: c.rank)

    def with_class(leak_class: an.LeakClass) -> dict[str, an.Answer]:
        return {**answers, "horn": an.Leak(fluid=fluid, leak_class=leak_class)}

    assert rank(checklist, with_class(worse)) >= rank(checklist, with_class(milder))


@given(checklists_with(False), answers_so_far)
@FEW
def test_an_unfinished_walk_never_releases(
    checklist: Checklist, answers: dict[str, an.Answer]
) -> None:
    """Whatever was found so far, the reason stands first or beside worse ones."""
    decision = decide(checklist, answers, finished=False)

    assert decision.outcome is Outcome.OUT_OF_SERVICE
    assert "walk_not_finished" in {hit.rule_id for hit in decision.reasons}


@given(checklists_with(False), answers_so_far)
@FEW
def test_the_decision_is_the_worst_of_its_findings(
    checklist: Checklist, answers: dict[str, an.Answer]
) -> None:
    """No finding, may work; else as strict as the strictest finding, reasons sorted."""
    found = findings(checklist, answers)
    decision = decide(checklist, answers, finished=True)

    worst = max((f.outcome.rank for f in found), default=0)
    assert decision.outcome.rank == worst
    ranks = [hit.outcome.rank for hit in decision.reasons]
    assert ranks == sorted(ranks, reverse=True)
    assert all(f.rules and f.outcome is not Outcome.MAY_WORK for f in found)


def test_all_good_may_work_without_any_reason() -> None:
    """Good answers are no findings."""
    decision = decide(CHECKLIST, GOOD, finished=True)

    assert decision.outcome is Outcome.MAY_WORK
    assert decision.reasons == ()


def test_findings_stand_in_walking_order_with_their_kinds() -> None:
    """Whatever order they were answered in."""
    found = findings(CHECKLIST, dict(reversed(BAD.items())))

    assert [(f.checkpoint_id, f.kind) for f in found] == [
        ("left_tyre", FindingKind.READING),
        ("left_wheel", FindingKind.DEFECT),
        ("leaks_below", FindingKind.LEAK),
        ("engine_oil", FindingKind.LEVEL),
        ("horn", FindingKind.NOT_CHECKED),
    ]


def test_a_finding_without_a_rule_still_counts() -> None:
    """It is reported: may work with defects, by the default that says so."""
    bare = replace(CHECKLIST, rules=())

    decision = decide(bare, {**GOOD, "horn": BAD["horn"]}, finished=True)

    assert decision.outcome is Outcome.MAY_WORK_WITH_DEFECTS
    (reason,) = decision.reasons
    assert (reason.rule_id, reason.checkpoint_id) == ("any_finding", "horn")


def test_no_rule_can_say_that_a_finding_is_none() -> None:
    """A rule whose outcome is "may work" leaves the default standing."""
    lax = Rule(
        id="lax", outcome=Outcome.MAY_WORK, text="Never mind.", source="invented"
    )
    decision = decide(
        replace(CHECKLIST, rules=(lax,)), {**GOOD, "horn": BAD["horn"]}, finished=True
    )

    assert decision.outcome is Outcome.MAY_WORK_WITH_DEFECTS
    assert [hit.rule_id for hit in decision.reasons] == ["any_finding", "lax"]


DEFECT = an.Defect(fault=an.Fault.BENT, severity=an.Severity.MAJOR)
LEAK = an.Leak(fluid="engine_oil", leak_class=an.LeakClass.TWO)
LOW = an.LevelSeen(level=an.Level.LOW)


@pytest.mark.parametrize(
    ("conditions", "point_id", "answer", "expected"),
    [
        ({}, "horn", DEFECT, True),
        ({"answers": ("defect",)}, "horn", DEFECT, True),
        ({"answers": ("leak",)}, "horn", DEFECT, False),
        ({"checkpoints": ("horn",)}, "horn", DEFECT, True),
        ({"checkpoints": ("camera",)}, "horn", DEFECT, False),
        ({"tags": ("warning", "brakes")}, "horn", DEFECT, True),
        ({"tags": ("brakes",)}, "horn", DEFECT, False),
        ({"severity_at_least": an.Severity.MAJOR}, "horn", DEFECT, True),
        ({"severity_at_least": an.Severity.CRITICAL}, "horn", DEFECT, False),
        ({"severity_at_least": an.Severity.MINOR}, "horn", LEAK, False),
        ({"leak_class_at_least": an.LeakClass.TWO}, "horn", LEAK, True),
        ({"leak_class_at_least": an.LeakClass.THREE}, "horn", LEAK, False),
        ({"leak_class_at_least": an.LeakClass.ONE}, "horn", DEFECT, False),
        ({"fluids": ("engine_oil",)}, "horn", LEAK, True),
        ({"fluids": ("fuel",)}, "horn", LEAK, False),
        ({"fluid_level_in": ("low",)}, "horn", LEAK, True),
        ({"fluid_level_in": ("unknown",)}, "horn", LEAK, False),
        ({"levels": (an.Level.LOW,)}, "engine_oil", LOW, True),
        ({"levels": (an.Level.EMPTY,)}, "engine_oil", LOW, False),
        ({"levels": (an.Level.LOW,)}, "engine_oil", LEAK, False),
        (
            {"reading_states": (ReadingState.LOW,)},
            "left_tyre",
            an.ReadingTaken(value=Decimal(350)),
            True,
        ),
        (
            {"reading_states": (ReadingState.HIGH,)},
            "left_tyre",
            an.ReadingTaken(value=Decimal(350)),
            False,
        ),
        ({"reading_states": (ReadingState.LOW,)}, "horn", DEFECT, False),
    ],
)
def test_every_condition_of_a_rule_must_hold(
    conditions: dict[str, object], point_id: str, answer: an.Answer, expected: bool
) -> None:
    """One condition at a time; the engine oil was seen to be low."""
    rule = Rule(
        id="r",
        outcome=Outcome.OUT_OF_SERVICE,
        text="A rule.",
        source="invented",
        **conditions,
    )
    point = CHECKLIST.checkpoint(point_id)

    assert applies(rule, point, answer, {"engine_oil": an.Level.LOW}) is expected


@pytest.mark.parametrize(
    ("levels", "expected"),
    [
        ({}, Outcome.OUT_OF_SERVICE),
        ({"engine_oil": an.Level.FULL}, Outcome.MAY_WORK_WITH_DEFECTS),
        (
            {"engine_oil": an.Level.FULL, "second": an.Level.LOW},
            Outcome.OUT_OF_SERVICE,
        ),
        (
            {"engine_oil": an.Level.LOW, "second": an.Level.FULL},
            Outcome.OUT_OF_SERVICE,
        ),
    ],
    ids=["unknown", "in range", "second is low", "first is low"],
)
def test_the_worst_level_seen_of_a_fluid_counts(
    levels: dict[str, an.Level], expected: Outcome
) -> None:
    """Two glasses of one fluid; none seen is "unknown"."""
    engine = CHECKLIST.zone("engine")
    second = replace(engine.checkpoints[0], id="second")
    zone = replace(engine, checkpoints=(*engine.checkpoints, second))
    rule = Rule(
        id="leak_and_level",
        outcome=Outcome.OUT_OF_SERVICE,
        text="A leak with a level out of range.",
        source="invented",
        answers=("leak",),
        fluid_level_in=("unknown", "low", "empty"),
    )
    checklist = replace(CHECKLIST, zones=(zone, CHECKLIST.zone("cab")), rules=(rule,))
    answers = {"horn": LEAK} | {
        point: an.LevelSeen(level=level) for point, level in levels.items()
    }

    assert decide(checklist, answers, finished=True).outcome is expected


@pytest.mark.parametrize(
    ("point_id", "answer", "severity"),
    [
        ("camera", DEFECT, an.Severity.MAJOR),
        ("left_wheel", replace(DEFECT, severity=an.Severity.MINOR), an.Severity.MINOR),
        ("horn", LEAK, an.Severity.MINOR),
        ("leaks_below", replace(LEAK, fluid="fuel"), an.Severity.CRITICAL),
        ("engine_oil", LOW, an.Severity.MINOR),
        ("engine_oil", an.LevelSeen(level=an.Level.EMPTY), an.Severity.CRITICAL),
        ("left_tyre", an.ReadingTaken(value=Decimal(100)), an.Severity.CRITICAL),
        ("parked", an.No(), an.Severity.CRITICAL),
    ],
)
def test_severity_is_as_said_or_follows_from_the_outcome(
    point_id: str, answer: an.Answer, severity: an.Severity
) -> None:
    """What puts the machine out of service is critical, unless the operator said
    how bad a defect is."""
    (finding,) = findings(CHECKLIST, {point_id: answer})

    assert finding.severity is severity


def test_drops_that_fall_are_major_where_no_rule_stops_the_machine() -> None:
    """Class III is reported at once (TM 5-3895-383-24, 1-10)."""
    bare = replace(CHECKLIST, rules=())
    leak = replace(LEAK, leak_class=an.LeakClass.THREE)

    (finding,) = findings(bare, {"horn": leak})

    assert finding.severity is an.Severity.MAJOR


@pytest.mark.parametrize(
    ("point_id", "answer"),
    [
        ("parked", an.Yes()),
        ("horn", an.Good()),
        ("belts", an.NotFitted()),
        ("engine_oil", an.LevelSeen(level=an.Level.FULL)),
        ("engine_oil", an.LevelSeen(level=an.Level.BETWEEN)),
        ("left_tyre", an.ReadingTaken(value=Decimal(450))),
    ],
)
def test_what_is_no_finding(point_id: str, answer: an.Answer) -> None:
    """All well, or not there."""
    assert finding_kind(CHECKLIST.checkpoint(point_id), answer) is None


def test_a_reading_without_limits_is_no_finding() -> None:
    """Even where the point has no range at all."""
    bare = replace(CHECKLIST.checkpoint("left_tyre"), reading=None)

    assert finding_kind(bare, an.ReadingTaken(value=Decimal(1))) is None


def test_every_answer_has_a_name_of_its_own() -> None:
    """As rules and records use it."""
    answers = (
        an.Yes(),
        an.No(),
        an.Good(),
        DEFECT,
        LEAK,
        an.NotFitted(),
        an.CouldNotCheck(reason=an.Reason.UNSAFE),
        LOW,
        an.ReadingTaken(value=Decimal(1)),
    )

    assert [answer_name(answer) for answer in answers] == NAMES


def test_the_strategies_reach_every_kind_of_point() -> None:
    """The properties above are about all kinds of checkpoints."""
    assert {p.kind for p in CHECKLIST.checkpoints} == set(CheckpointKind)
