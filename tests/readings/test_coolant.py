"""Freezing points against handbook tables, and a second source for each."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.readings.coolant import Glycol, freezing_point_c, share_for_percent
from voicecheck.readings.errors import ReadingError

# Lange's Handbook of Chemistry, 15th ed., Table 5.13, percent by volume, °C.
LANGE_PROPYLENE = {
    10: -2.2,
    20: -6.7,
    25: -8.9,
    30: -12.8,
    35: -16.1,
    40: -20.6,
    45: -26.7,
    50: -33.3,
}
# ASHRAE Handbook curves as fitted in CoolProp 8.0 (INCOMP::AEG and APG), computed
# with PropsSI("T_FREEZE", ...); rows that are not in our tables are the real check.
ASHRAE_ETHYLENE = {15: -6.15, 25: -12.12, 35: -19.88, 45: -30.54, 55: -44.37}
ASHRAE_PROPYLENE = {20: -7.38, 30: -13.11, 40: -21.51, 50: -33.66, 55: -41.59}
# ASTM D3306 minimum at 50 percent [from memory].
ASTM_D3306_AT_50 = {Glycol.ETHYLENE: -36.4, Glycol.PROPYLENE: -31.0}
SHARES = st.floats(0, 60)
GLYCOLS = st.sampled_from(Glycol)


@pytest.mark.parametrize("percent", LANGE_PROPYLENE)
def test_langes_table(percent: int) -> None:
    """Each printed row."""
    found = freezing_point_c(percent, Glycol.PROPYLENE)

    assert found == pytest.approx(LANGE_PROPYLENE[percent], abs=0.05)


@pytest.mark.parametrize("percent", ASHRAE_ETHYLENE)
def test_ethylene_between_the_rows(percent: int) -> None:
    """Our interpolation stays within half a degree of the curve."""
    found = freezing_point_c(percent, Glycol.ETHYLENE)

    assert found == pytest.approx(ASHRAE_ETHYLENE[percent], abs=0.5)


@pytest.mark.parametrize("percent", ASHRAE_PROPYLENE)
def test_propylene_beside_a_second_source(percent: int) -> None:
    """Two handbooks agree within a degree and a half."""
    found = freezing_point_c(percent, Glycol.PROPYLENE)

    assert found == pytest.approx(ASHRAE_PROPYLENE[percent], abs=1.5)


@pytest.mark.parametrize("glycol", Glycol)
def test_half_and_half_meets_the_coolant_standard(glycol: Glycol) -> None:
    """At least as cold as the standard asks."""
    assert freezing_point_c(50, glycol) <= ASTM_D3306_AT_50[glycol]


def test_water_freezes_at_zero() -> None:
    """Definition of the scale."""
    assert freezing_point_c(0, Glycol.ETHYLENE) == 0


@given(SHARES, SHARES, GLYCOLS)
def test_more_glycol_never_freezes_earlier(
    one: float, two: float, glycol: Glycol
) -> None:
    """Monotone up to 60 percent."""
    less, more = sorted((one, two))

    assert freezing_point_c(more, glycol) <= freezing_point_c(less, glycol) + 1e-12


@given(st.floats(1, 60), GLYCOLS)
def test_share_and_freezing_point_round_trip(percent: float, glycol: Glycol) -> None:
    """The least share for a freezing point is the share that gave it."""
    point = freezing_point_c(percent, glycol)

    assert share_for_percent(point, glycol) == pytest.approx(percent, abs=1e-6)


@pytest.mark.parametrize("percent", [-1, 60.1, 100, float("nan")])
def test_shares_outside_the_table_are_refused(percent: float) -> None:
    """Pure glycol freezes earlier than the mix."""
    with pytest.raises(ReadingError, match="glycol by volume"):
        freezing_point_c(percent, Glycol.ETHYLENE)


@pytest.mark.parametrize("lowest_c", [-60, float("nan")])
def test_no_share_reaches_the_deepest_cold(lowest_c: float) -> None:
    """Nothing is extrapolated."""
    with pytest.raises(ReadingError, match="coolant's maker"):
        share_for_percent(lowest_c, Glycol.PROPYLENE)
