"""Figures of calls are those of the statistics, and never made up."""

from __future__ import annotations

import pytest

from voicecheck.learn.calling import call_figures, kind_of
from voicecheck.learn.events import Call, CallParts, Opened
from voicecheck.round.answers import LeakClass, Severity
from voicecheck.round.checklist import Outcome

GOOD = CallParts(opened=Opened.GOOD, may_work=True)


def defect(severity: Severity, *, may_work: bool = False) -> CallParts:
    """Return a defect."""
    return CallParts(opened=Opened.DEFECT, severity=severity, may_work=may_work)


def leak(leak_class: LeakClass, *, may_work: bool = True) -> CallParts:
    """Return a leak."""
    return CallParts(opened=Opened.LEAK, leak_class=leak_class, may_work=may_work)


def call(expected: CallParts, said: CallParts, kind: str = "boom/crack") -> Call:
    """Return a call of a situation of a kind."""
    return Call(
        checklist="wheel-loader",
        checkpoint="boom",
        situation=f"{kind}/3@boom",
        expected=expected,
        said=said,
        outcome=Outcome.OUT_OF_SERVICE,
    )


def test_detection_is_that_of_the_published_example() -> None:
    """82 of 100 found, 46 of 100 false alarms: d' 1.002793, c -0.401960.

    Source: statpsych `signal`, after Wickens 2002 (facts, 8.2).
    """
    wrong = defect(Severity.MAJOR)
    calls = [call(wrong, wrong)] * 82 + [call(wrong, GOOD)] * 18
    calls += [call(GOOD, wrong)] * 46 + [call(GOOD, GOOD)] * 54

    found = call_figures(calls).detection

    assert found is not None
    assert found.d_prime == pytest.approx(1.002793, abs=1e-6)
    assert found.criterion == pytest.approx(-0.401960, abs=1e-6)


def test_severity_agrees_as_weighted_kappa_says() -> None:
    """Linear weights. Table [75 1 4], [5 4 1], [0 0 10]: kappa 0.7222.

    Source: Fleiss, Levin & Paik (facts, 8.1).
    """
    table = ((75, 1, 4), (5, 4, 1), (0, 0, 10))
    levels = list(Severity)
    calls = [
        call(defect(levels[row]), defect(levels[column]))
        for row, counts in enumerate(table)
        for column, count in enumerate(counts)
        for _ in range(count)
    ]

    kappa = call_figures(calls).severity

    assert kappa.value == pytest.approx(0.7222, abs=5e-5)
    assert kappa.count == 100


@pytest.mark.parametrize(("machines", "most"), [(59, 0.0495), (29, 0.0981)])
def test_no_wrong_release_seen_is_no_proof(machines: int, most: float) -> None:
    """None of 59 let work wrongly: at most 5 % in the long run.

    Source: exact one-sided bound, facts 8.3.
    """
    wrong = defect(Severity.CRITICAL)

    figures = call_figures([call(wrong, wrong)] * machines)

    assert figures.released.count == 0
    assert figures.released_at_most == pytest.approx(most, abs=5e-5)


def test_what_cannot_be_told_is_none() -> None:
    """No calls, or only good things: no d', no kappa, no share released."""
    for calls in ([], [call(GOOD, GOOD)] * 5):
        figures = call_figures(calls)
        assert figures.detection is None
        assert figures.severity.value is None
        assert figures.leak_class.value is None
        assert figures.released_at_most is None


def test_dangerous_mistakes_are_counted_by_kind() -> None:
    """Something wrong called good; the opposite mistake is none of these."""
    one, two = leak(LeakClass.ONE), leak(LeakClass.TWO)
    calls = [
        call(one, GOOD, "leak/fuel/I"),
        call(one, GOOD, "leak/fuel/I"),
        call(two, GOOD, "leak/coolant/II"),
        call(GOOD, two, "rim/good/dry"),
        call(one, two, "leak/fuel/I"),
    ]

    figures = call_figures(calls)

    assert figures.missed_kinds == (("leak/fuel/I", 2), ("leak/coolant/II", 1))
    assert (figures.signals, figures.noises) == (4, 1)
    assert figures.right.count == 0
    assert figures.leak_class.count == 1


def test_the_kind_stands_in_the_id() -> None:
    """Up to the number and the place."""
    assert kind_of(call(GOOD, GOOD, "leak/fuel/III/low")) == "leak/fuel/III/low"
