"""Pressure of the air against the table of the standard atmosphere."""

from __future__ import annotations

import pytest

from voicecheck.readings.atmosphere import ambient_pressure_kpa
from voicecheck.readings.errors import ReadingError

# ISO 2533:1975, by geopotential altitude in metres, kPa [figures from memory].
ISO_2533 = {0: 101.325, 1000: 89.8746, 2000: 79.4952, 3000: 70.1085, 5000: 54.0199}


@pytest.mark.parametrize("altitude_m", ISO_2533)
def test_the_table_of_the_standard_atmosphere(altitude_m: int) -> None:
    """To the last printed digit."""
    found = ambient_pressure_kpa(altitude_m)

    assert found == pytest.approx(ISO_2533[altitude_m], abs=0.0005)


@pytest.mark.parametrize("altitude_m", [-501, 6001, float("nan")])
def test_where_no_machine_works_is_refused(altitude_m: float) -> None:
    """A height in feet given as metres is found out."""
    with pytest.raises(ReadingError, match="altitude"):
        ambient_pressure_kpa(altitude_m)
