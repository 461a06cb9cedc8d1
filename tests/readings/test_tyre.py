"""Tyre pressure against the gas law worked by hand, and a trade rule of thumb."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.readings.errors import ReadingError
from voicecheck.readings.tyre import TyreState, corrected_pressure_kpa, judge
from voicecheck.readings.units import Kind, convert

TEMPERATURES_C = st.floats(-60, 120)
# high enough to stay above zero at any of these temperatures
GAUGES_KPA = st.floats(150, 1200)


# Ideal gas at fixed volume (textbook), worked out by hand from absolute figures.
@pytest.mark.parametrize(
    ("gauge", "at_c", "to_c", "ambient", "expected"),
    [
        (450, 20, -5, 101.325, 402.98),
        (450, 20, -30, 101.325, 355.97),
        (450, 20, 60, 101.325, 525.23),
        (450, 20, -5, 90, 403.95),
    ],
)
def test_the_gas_law_by_hand(
    gauge: float, at_c: float, to_c: float, ambient: float, expected: float
) -> None:
    """Absolute pressure follows absolute temperature."""
    found = corrected_pressure_kpa(gauge, at_c=at_c, to_c=to_c, ambient_kpa=ambient)

    assert found == pytest.approx(expected, abs=0.005)


def test_the_trade_example_of_six_psi_for_sixty_degrees() -> None:
    """35 psi at 80 °F become 29 at 20 °F.

    The worked example of the trade's rule of thumb, about 1 psi for 10 °F at
    passenger pressures; the exact figure, 29.47 psi, was worked out by hand.
    """
    gauge_kpa = convert(35, "psi", "kPa", Kind.PRESSURE)
    cold_kpa = corrected_pressure_kpa(gauge_kpa, at_c=(80 - 32) / 1.8, to_c=-12 / 1.8)
    cold_psi = convert(cold_kpa, "kPa", "psi", Kind.PRESSURE)

    assert cold_psi == pytest.approx(29.47, abs=0.005)
    assert cold_psi == pytest.approx(29, abs=0.5)


def test_the_gauge_rises_by_what_the_air_around_falls() -> None:
    """At one temperature the absolute pressure stays."""
    found = corrected_pressure_kpa(
        450, at_c=20, to_c=20, ambient_kpa=101.325, to_ambient_kpa=81.325
    )

    assert found == pytest.approx(470)


@given(GAUGES_KPA, TEMPERATURES_C, TEMPERATURES_C)
def test_there_and_back_gives_the_reading(gauge: float, one: float, two: float) -> None:
    """The correction round-trips."""
    there = corrected_pressure_kpa(gauge, at_c=one, to_c=two)

    if there <= 1500:
        back = corrected_pressure_kpa(there, at_c=two, to_c=one)
        assert back == pytest.approx(gauge, rel=1e-9)


@given(GAUGES_KPA, TEMPERATURES_C, TEMPERATURES_C, st.floats(0.01, 50))
def test_warmer_is_never_less(
    gauge: float, at_c: float, to_c: float, more_k: float
) -> None:
    """Pressure rises with the temperature corrected to."""
    cold = corrected_pressure_kpa(gauge, at_c=at_c, to_c=to_c - 10)
    warm = corrected_pressure_kpa(gauge, at_c=at_c, to_c=to_c - 10 + more_k / 2)

    assert warm > cold


@pytest.mark.parametrize(
    ("gauge", "at_c", "to_c", "ambient"),
    [
        (-1, 20, 20, 101),
        (float("nan"), 20, 20, 101),
        (450, 200, 20, 101),
        (450, 20, -200, 101),
        (450, 20, 20, 10),
        (5000, 20, 20, 101),
    ],
)
def test_impossible_values_are_refused(
    gauge: float, at_c: float, to_c: float, ambient: float
) -> None:
    """With what would be accepted."""
    with pytest.raises(ReadingError, match="give a value from"):
        corrected_pressure_kpa(gauge, at_c=at_c, to_c=to_c, ambient_kpa=ambient)


def test_a_tyre_that_would_be_flat_is_no_figure() -> None:
    """A negative pressure is never returned."""
    with pytest.raises(ReadingError, match="flat"):
        corrected_pressure_kpa(5, at_c=20, to_c=-40)


# Four fifths: 29 CFR 1910.177(f) [from memory]. A tenth: common practice.
@pytest.mark.parametrize(
    ("cold", "state"),
    [
        (360, TyreState.SEVERELY_LOW),
        (360.1, TyreState.LOW),
        (404.9, TyreState.LOW),
        (405, TyreState.WITHIN_A_TENTH),
        (495, TyreState.WITHIN_A_TENTH),
        (495.1, TyreState.HIGH),
    ],
)
def test_the_edges_of_the_verdict(cold: float, state: TyreState) -> None:
    """At exactly four fifths it is already severely low."""
    assert judge(cold, 450) is state
