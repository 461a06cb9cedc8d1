"""Air filter restriction against an army manual's pair of figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.readings.errors import ReadingError
from voicecheck.readings.restriction import RestrictionState, restriction
from voicecheck.readings.units import Kind, Measured, parse


def pressure(text: str) -> Measured:
    """Return a pressure as written."""
    return parse(text, Kind.PRESSURE, "restriction")


def test_the_army_manual_writes_both_units() -> None:
    """TM 5-3820-256-24-5: at most 6.2 kPa (25 inH2O)."""
    assert restriction(pressure("25 inH2O")).kpa == pytest.approx(6.2, abs=0.05)
    assert restriction(pressure("6.2 kPa")).in_h2o == pytest.approx(25, abs=0.15)


# One conventional inch of water is 249.0889 Pa: NIST SP 811, B.8 [from memory].
@pytest.mark.parametrize(("inches", "kpa"), [(25, 6.22722), (20, 4.98178)])
def test_inches_of_water(inches: float, kpa: float) -> None:
    """To the last digit of the factor."""
    found = restriction(pressure(f"{inches} inH2O"))

    assert found.kpa == pytest.approx(kpa, abs=1e-5)
    assert found.mbar == pytest.approx(10 * kpa, abs=1e-4)


@pytest.mark.parametrize(
    ("reading", "state"),
    [
        ("0 kPa", RestrictionState.NOTHING_SHOWN),
        ("3 kPa", RestrictionState.BELOW),
        ("20 inH2O", RestrictionState.NEAR),
        ("25 inH2O", RestrictionState.AT_OR_ABOVE),
        ("70 mbar", RestrictionState.AT_OR_ABOVE),
    ],
)
def test_the_verdict(reading: str, state: RestrictionState) -> None:
    """At the limit the filter is due; nothing shown is no praise."""
    assert restriction(pressure(reading), pressure("25 inH2O")).state is state


def test_without_a_limit_nothing_is_judged() -> None:
    """The manual of the machine has it."""
    assert restriction(pressure("9 kPa")).state is RestrictionState.NOT_JUDGED


@given(st.floats(0.01, 25), st.floats(0.01, 25))
def test_more_restriction_is_never_judged_better(one: float, two: float) -> None:
    """Monotone."""
    order = [
        RestrictionState.BELOW,
        RestrictionState.NEAR,
        RestrictionState.AT_OR_ABOVE,
    ]
    limit = pressure("6.2 kPa")
    states = [
        restriction(Measured(value=v, unit="kPa", kind=Kind.PRESSURE), limit).state
        for v in sorted((one, two))
    ]

    assert order.index(states[0]) <= order.index(states[1])


@pytest.mark.parametrize("reading", ["-1 kPa", "62 kPa", "6.2 bar"])
def test_impossible_restrictions_are_refused(reading: str) -> None:
    """A mistaken unit is found out."""
    with pytest.raises(ReadingError, match="restriction"):
        restriction(pressure(reading))
