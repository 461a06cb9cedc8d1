"""Specific gravity and charge against a battery trade table."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.readings.battery import (
    SCALES,
    BatteryScale,
    Beyond,
    battery_charge,
    corrected_gravity,
)
from voicecheck.readings.errors import ReadingError

# Battery trade technical notes: correction at a temperature of the electrolyte.
CORRECTION_AT_F = {0: -0.032, 30: -0.020, 80: 0.0, 110: 0.012, 160: 0.032}
# The same notes: charge by specific gravity at 80 °F.
CHARGE = {1.265: 100, 1.225: 75, 1.190: 50, 1.155: 25, 1.120: 0}
BASE_C = (80 - 32) / 1.8


@pytest.mark.parametrize("at_f", CORRECTION_AT_F)
def test_the_printed_corrections(at_f: int) -> None:
    """Four thousandths for ten degrees Fahrenheit, subtracted below 80."""
    found = corrected_gravity(1.200, at_c=(at_f - 32) / 1.8)

    assert found - 1.200 == pytest.approx(CORRECTION_AT_F[at_f], abs=1e-9)


# Worked examples of the same notes: 1.258 at 100 °F; 1.240 at 20 °F (row −0.024);
# 1.230 at 110 °F (row +0.012).
@pytest.mark.parametrize(
    ("reading", "at_f", "corrected"),
    [(1.258, 100, 1.266), (1.240, 20, 1.216), (1.230, 110, 1.242)],
)
def test_the_worked_examples(reading: float, at_f: float, corrected: float) -> None:
    """A cold reading looks better than the battery is."""
    found = corrected_gravity(reading, at_c=(at_f - 32) / 1.8)

    assert found == pytest.approx(corrected, abs=1e-9)


@pytest.mark.parametrize("gravity", CHARGE)
def test_the_printed_charges(gravity: float) -> None:
    """At the base temperature the rows come back."""
    charge = battery_charge([gravity], at_c=BASE_C)

    assert charge.charge_percent == pytest.approx(CHARGE[gravity], abs=1e-6)
    assert charge.beyond is Beyond.NEITHER


def test_the_weakest_cell_counts_and_unequal_cells_are_told() -> None:
    """More than 0.050 apart is a suspect battery [limit from memory]."""
    equal = battery_charge([1.225, 1.265, 1.215], at_c=BASE_C)
    unequal = battery_charge([1.265, 1.214], at_c=BASE_C)

    assert not equal.cells_unequal
    assert equal.charge_percent < 75
    assert unequal.cells_unequal


def test_beyond_the_scale_is_said() -> None:
    """Held at the ends, and marked."""
    empty = battery_charge([1.050], at_c=BASE_C)
    over = battery_charge([1.300], at_c=BASE_C)

    assert (empty.charge_percent, empty.beyond) == (0, Beyond.BELOW)
    assert (over.charge_percent, over.beyond) == (100, Beyond.ABOVE)


@pytest.mark.parametrize("scale", SCALES.values(), ids=list(SCALES))
@given(one=st.floats(1.0, 1.35), two=st.floats(1.0, 1.35), at_c=st.floats(-40, 75))
def test_more_gravity_is_never_less_charge(
    scale: BatteryScale, one: float, two: float, at_c: float
) -> None:
    """Monotone, and always 0 to 100."""
    low, high = sorted((one, two))
    less = battery_charge([low], at_c=at_c, scale=scale)
    more = battery_charge([high], at_c=at_c, scale=scale)

    assert 0 <= less.charge_percent <= more.charge_percent <= 100


@pytest.mark.parametrize(
    ("readings", "at_c"),
    [([], 20), ([1.25] * 13, 20), ([0.9], 20), ([1265.0], 20), ([1.25], 90)],
)
def test_impossible_values_are_refused(readings: list[float], at_c: float) -> None:
    """1265 without the point is found out too."""
    with pytest.raises(ReadingError):
        battery_charge(readings, at_c=at_c)
