"""Units as written, against NIST SP 811 and the fixed points of temperature."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.readings.errors import ReadingError
from voicecheck.readings.units import Kind, convert, parse

# NIST Special Publication 811 (2008), Appendix B.8 [figures from memory], in kPa.
NIST_SP_811 = {
    "psi": 6.894757,
    "inH2O": 0.2490889,
    "mmH2O": 0.00980665,
    "mmHg": 0.1333224,
    "bar": 100.0,
    "mbar": 0.1,
}
PRESSURES = ["kPa", "Pa", "MPa", "bar", "mbar", "hPa", "psi", "inH2O", "mmH2O", "mmHg"]


@pytest.mark.parametrize("unit", NIST_SP_811)
def test_pressure_units_are_those_of_nist(unit: str) -> None:
    """One unit in kilopascals agrees with the printed factor."""
    assert convert(1, unit, "kPa", Kind.PRESSURE) == pytest.approx(
        NIST_SP_811[unit], rel=3e-7
    )


# Textbook: definitions of the Fahrenheit and Kelvin scales.
@pytest.mark.parametrize(
    ("written", "celsius"),
    [("32 °F", 0), ("212F", 100), ("-40 degF", -40), ("0 K", -273.15), ("−5 C", -5)],
)
def test_temperatures_are_read_in_every_usual_spelling(
    written: str, celsius: float
) -> None:
    """F and C mean degrees here, never farad and coulomb."""
    measured = parse(written, Kind.TEMPERATURE, "temperature")

    assert measured.to("°C") == pytest.approx(celsius, abs=1e-9)


def test_a_decimal_comma_is_taken() -> None:
    """As written in much of Europe."""
    assert parse("6,2 kPa", Kind.PRESSURE, "x").value == 6.2


@pytest.mark.parametrize(
    "written",
    ["450", "kPa", "", "450 apples", "20 °C", "1e5 kPa", "mPa", "5 mPa", "nan kPa"],
)
def test_what_is_no_pressure_is_refused_with_the_units(written: str) -> None:
    """The error names the reading and the units that would do."""
    with pytest.raises(ReadingError, match=r"gauge: got .*kPa, Pa, MPa, bar"):
        parse(written, Kind.PRESSURE, "gauge")


def test_below_absolute_zero_is_refused() -> None:
    """Nothing is colder."""
    with pytest.raises(ReadingError, match="absolute zero"):
        parse("-300 °C", Kind.TEMPERATURE, "tyre")


def test_a_unit_of_another_kind_is_refused() -> None:
    """No pressure in metres."""
    with pytest.raises(ReadingError, match="unit of pressure"):
        convert(1, "kPa", "m", Kind.PRESSURE)


@given(st.floats(0, 1e5), st.sampled_from(PRESSURES), st.sampled_from(PRESSURES))
def test_conversion_round_trips(value: float, one: str, other: str) -> None:
    """There and back gives the same figure."""
    there = convert(value, one, other, Kind.PRESSURE)

    assert convert(there, other, one, Kind.PRESSURE) == pytest.approx(value, rel=1e-12)
