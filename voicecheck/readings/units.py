"""Numbers with units, as people write them: "450 kPa", "80 °F", "25 inH2O".

Conversion is pint's. Only the units listed here are taken, so that a letter
which means something else to a physicist (C, F) cannot be misread.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING

from voicecheck.readings.errors import ReadingError

if TYPE_CHECKING:
    from pint import UnitRegistry

__all__ = ["Kind", "Measured", "convert", "parse"]

_NUMBER_AND_UNIT = re.compile(r"\s*([+\-−]?\d+(?:[.,]\d+)?)\s*(\D.*?)?\s*")


class Kind(StrEnum):
    """What is measured."""

    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    LENGTH = "length"
    DENSITY = "density"
    DURATION = "duration"


_UNITS: dict[Kind, dict[str, str]] = {
    Kind.PRESSURE: {
        "kPa": "kilopascal",
        "Pa": "pascal",
        "MPa": "megapascal",
        "bar": "bar",
        "mbar": "millibar",
        "hPa": "hectopascal",
        "psi": "psi",
        "inH2O": "inch_H2O",
        "mmH2O": "millimeter_H2O",
        "mmHg": "millimeter_Hg",
    },
    Kind.TEMPERATURE: {"°C": "degC", "°F": "degF", "K": "kelvin"},
    Kind.LENGTH: {"m": "meter", "ft": "foot", "km": "kilometer"},
    Kind.DENSITY: {
        "kg/m3": "kilogram/meter**3",
        "g/cm3": "gram/centimeter**3",
        "g/ml": "gram/milliliter",
        "kg/L": "kilogram/liter",
    },
    Kind.DURATION: {"h": "hour", "min": "minute", "d": "day", "wk": "week"},
}
"""Kind: unit as written, unit as pint names it; the first is ours inside."""

_SPELLINGS = {
    "c": "°C",
    "degc": "°C",
    "f": "°F",
    "degf": "°F",
    "inwc": "inH2O",
    "inh₂o": "inH2O",
    "mmh₂o": "mmH2O",
    "kg/m³": "kg/m3",
    "g/cm³": "g/cm3",
    "days": "d",
    "day": "d",
    "weeks": "wk",
    "week": "wk",
    "hours": "h",
    "hour": "h",
}
_ABSOLUTE_ZERO_C = -273.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A value as it was read."""

    value: float
    unit: str
    """As written in the list of its kind, for example kPa."""
    kind: Kind

    def to(self, unit: str) -> float:
        """Return the value in another unit of the same kind."""
        return convert(self.value, self.unit, unit, self.kind)


def parse(text: str, kind: Kind, what: str) -> Measured:
    """Return a number with its unit.

    Args:
        text: "450 kPa", "−5 °C", "80F"; a decimal comma is taken too.
        kind: what it must measure.
        what: the name of the reading, for the error.

    Raises:
        ReadingError: no number, no unit, an unknown unit, or a temperature
            below absolute zero.
    """
    accepted = f"a number with one of these units: {', '.join(_UNITS[kind])}"
    match = _NUMBER_AND_UNIT.fullmatch(text)
    if match is None or not match[2]:
        raise ReadingError(what, repr(text), accepted)
    unit = _unit(match[2], kind)
    if unit is None:
        raise ReadingError(what, repr(text), accepted)
    value = float(match[1].replace(",", ".").replace("−", "-"))
    measured = Measured(value=value, unit=unit, kind=kind)
    # a hair below: 0 K and its Fahrenheit figure are rounded when converted
    if kind is Kind.TEMPERATURE and measured.to("°C") < _ABSOLUTE_ZERO_C - 1e-6:
        raise ReadingError(what, repr(text), "a temperature above absolute zero")
    return measured


def convert(value: float, unit: str, to_unit: str, kind: Kind) -> float:
    """Return a value in another unit, by the definitions in pint's registry.

    Raises:
        ReadingError: a unit is not one of this kind.
    """
    for name in (unit, to_unit):
        if name not in _UNITS[kind]:
            raise ReadingError(f"unit of {kind}", name, ", ".join(_UNITS[kind]))
    names = _UNITS[kind]
    quantity = _registry().Quantity(value, names[unit])
    return float(quantity.to(names[to_unit]).magnitude)


def _unit(written: str, kind: Kind) -> str | None:
    written = re.sub(r"\s+", "", written)
    if written in _UNITS[kind]:
        return written
    known = {unit.casefold(): unit for unit in _UNITS[kind]}
    plain = written.casefold()
    # MPa and mPa would fall together, but only MPa is listed
    found = _SPELLINGS.get(plain, known.get(plain))
    return found if found in _UNITS[kind] and written != "mPa" else None


@cache
def _registry() -> UnitRegistry[float]:
    """Return pint's registry; built once, and only when a unit is converted."""
    from pint import UnitRegistry  # noqa: PLC0415

    return UnitRegistry(cache_folder=None)
