"""Urea solution against the limits of ISO 22241-1."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.readings.errors import ReadingError
from voicecheck.readings.urea import (
    UreaState,
    check_density,
    check_percent,
    check_refractive_index,
)

WITHIN, WEAK, STRONG = UreaState.WITHIN, UreaState.TOO_WEAK, UreaState.TOO_STRONG


# ISO 22241-1: 31.8 to 33.2 % by mass.
@pytest.mark.parametrize(
    ("percent", "state"),
    [(32.5, WITHIN), (31.8, WITHIN), (31.7, WEAK), (33.2, WITHIN), (33.3, STRONG)],
)
def test_percent_by_mass(percent: float, state: UreaState) -> None:
    """The limits themselves pass."""
    assert check_percent(percent).state is state


# ISO 22241-1: refractive index 1.3814 to 1.3843 at 20 °C.
@pytest.mark.parametrize(
    ("index", "state"),
    [(1.3843, WITHIN), (1.3850, STRONG), (1.3814, WITHIN), (1.3813, WEAK)],
)
def test_refractive_index(index: float, state: UreaState) -> None:
    """The limits themselves pass."""
    assert check_refractive_index(index, at_c=20).state is state


# ISO 22241-1: density 1087.0 to 1093.0 kg/m³ at 20 °C.
@pytest.mark.parametrize(
    ("density", "state"),
    [(1087.0, WITHIN), (1093.0, WITHIN), (1086.9, WEAK), (1093.1, STRONG)],
)
def test_density(density: float, state: UreaState) -> None:
    """The limits themselves pass."""
    assert check_density(density, at_c=20).state is state


def test_the_middle_of_each_limit_is_the_target() -> None:
    """ISO 22241-1 gives 32.5 % as the target."""
    assert check_density(1090, at_c=20).percent == pytest.approx(32.5, abs=0.01)
    assert check_refractive_index(1.38285, at_c=20).percent == pytest.approx(
        32.5, abs=0.01
    )


def test_water_is_too_weak_without_a_made_up_percentage() -> None:
    """Far away the straight line is not trusted; 1.3330 is water's index."""
    found = check_refractive_index(1.3330, at_c=20)

    assert (found.state, found.percent) == (WEAK, None)


@pytest.mark.parametrize("at_c", [5, 18.9, 21.1, 35, float("nan")])
def test_another_temperature_is_refused(at_c: float) -> None:
    """A warm sample looks weak, a cold one strong."""
    with pytest.raises(ReadingError, match="20 °C"):
        check_density(1090, at_c=at_c)
    with pytest.raises(ReadingError, match="20 °C"):
        check_refractive_index(1.3829, at_c=at_c)


@given(st.floats(1080, 1100), st.floats(1080, 1100))
def test_denser_is_never_weaker(one: float, two: float) -> None:
    """Monotone."""
    order = [WEAK, WITHIN, STRONG]
    less, more = sorted((one, two))

    assert order.index(check_density(less, at_c=20).state) <= order.index(
        check_density(more, at_c=20).state
    )


@pytest.mark.parametrize("percent", [-1, 101, float("nan")])
def test_no_percentage_is_refused(percent: float) -> None:
    """With what would be accepted."""
    with pytest.raises(ReadingError, match="urea by mass"):
        check_percent(percent)
