"""What is planted fits the checklist, or is refused with a sentence."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from voicecheck.checklists.loader import load
from voicecheck.observe.scenario import (
    PlantedFault,
    ReferenceTimes,
    is_critical,
    problems,
)
from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Fault,
    Good,
    Leak,
    LeakClass,
    No,
    ReadingTaken,
    Reason,
    Severity,
)
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()
LOADER = load("wheel-loader")


def planted(checkpoint: str, expected: Answer) -> PlantedFault:
    """Return a planted fault with a tag."""
    return PlantedFault(checkpoint=checkpoint, expected=expected, tag="yellow")


LOOSE = Defect(fault=Fault.LOOSE, severity=Severity.MINOR)


def test_the_example_fits() -> None:
    """Nothing is wrong with it."""
    assert problems(w.scenario(SMALL), SMALL) == ()


@pytest.mark.parametrize(
    ("fault", "says"),
    [
        (planted("nowhere", LOOSE), "no such point"),
        (planted("parked", No()), "a start check ends the walk"),
        (planted("horn", Good()), "nothing that can be found"),
        (
            planted("horn", CouldNotCheck(reason=Reason.NO_TOOL)),
            "nothing that can be found",
        ),
        (
            planted("left_tyre", ReadingTaken(value=Decimal(450))),
            "nothing that can be found",
        ),
        (planted("left_tyre", LOOSE), "reading point"),
        (
            planted("leaks_below", Leak(fluid="engine_oil", leak_class=LeakClass.ONE)),
            "fluid must be one of fuel",
        ),
        (replace(planted("horn", LOOSE), tag=""), "say where its tag hangs"),
        (replace(planted("horn", LOOSE), described="x"), "not both"),
        (replace(planted("horn", LOOSE), also_at=("horn",)), "no other point"),
        (replace(planted("horn", LOOSE), also_at=("left_wheel",)), "something else"),
    ],
)
def test_what_does_not_fit_is_told(fault: PlantedFault, says: str) -> None:
    """One sentence that names the point."""
    usual = w.scenario(SMALL)
    first = usual.planted[0]  # at the left wheel
    found = problems(replace(usual, planted=(first, fault)), SMALL)

    assert len(found) == 1
    assert says in found[0]
    assert fault.checkpoint in found[0]


def test_nothing_planted_twice_or_where_it_is_left_out() -> None:
    """Nor nothing at all, nor a zone that is not there."""
    usual = w.scenario(SMALL)
    twice = replace(usual, planted=(*usual.planted, usual.planted[0]))
    left = replace(usual, left_out=("left_wheel", "nowhere"))
    none = replace(usual, planted=())
    odd = replace(usual, reference=ReferenceTimes(source="", zones={"x": 0.0}))

    assert "planted twice" in problems(twice, SMALL)[0]
    assert len(problems(left, SMALL)) == 2
    assert "nothing is planted" in problems(none, SMALL)[0]
    assert len(problems(odd, SMALL)) == 2


def test_a_scenario_of_another_checklist_is_refused() -> None:
    """The hash tells."""
    [only] = problems(w.scenario(SMALL), LOADER)

    assert "plan it again" in only


@pytest.mark.parametrize(
    ("checkpoint", "answer", "critical"),
    [
        (
            "engine_lines",
            Leak(fluid="fuel", leak_class=LeakClass.ONE),
            True,  # any fuel leak: out of service
        ),
        (
            "loader_lines",
            Leak(fluid="hydraulic_oil", leak_class=LeakClass.ONE),
            False,
        ),
        ("left_mirror", Defect(fault=Fault.DIRTY, severity=Severity.MINOR), False),
        ("service_brake", Defect(fault=Fault.WORN, severity=Severity.MINOR), True),
    ],
)
def test_the_rules_say_what_is_critical(
    checkpoint: str, answer: Answer, critical: bool
) -> None:
    """What alone puts the machine out of service, on the shipped checklist."""
    fault = planted(checkpoint, answer)

    assert is_critical(LOADER, fault) is critical
    assert is_critical(LOADER, replace(fault, critical=True)) is True
