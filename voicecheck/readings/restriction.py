"""Air filter restriction: one reading in every unit, and against its limit."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from voicecheck.readings.errors import must_be_within
from voicecheck.readings.units import Kind, Measured, convert

__all__ = ["CAUTION", "Restriction", "RestrictionState", "restriction"]

CAUTION = (
    "A gauge that never moves may sit on a blocked fitting: no restriction shown "
    "is no proof of health. The manual of the machine gives the limit."
)
_HIGHEST_KPA = 25.0
"""No engine draws more; a figure above it is a mistaken unit."""
_NEARLY = 0.8


class RestrictionState(StrEnum):
    """A restriction beside its limit."""

    NOT_JUDGED = "not_judged"
    """No limit was given."""
    NOTHING_SHOWN = "nothing_shown"
    BELOW = "below_the_limit"
    NEAR = "near_the_limit"
    """Four fifths of it or more: plan the service (our own choice)."""
    AT_OR_ABOVE = "at_or_above_the_limit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Restriction:
    """One restriction in the units found on gauges."""

    kpa: float
    mbar: float
    in_h2o: float
    state: RestrictionState


def restriction(reading: Measured, limit: Measured | None = None) -> Restriction:
    """Return a restriction in kPa, mbar and inches of water, judged if asked.

    Raises:
        ReadingError: reading or limit is negative or beyond any engine.

    Source:
        Conversion: pint (conventional inch of water, 249.0889 Pa).
    """
    kpa = reading.to("kPa")
    must_be_within("restriction", kpa, 0, _HIGHEST_KPA, "kPa")
    return Restriction(
        kpa=kpa,
        mbar=convert(kpa, "kPa", "mbar", Kind.PRESSURE),
        in_h2o=convert(kpa, "kPa", "inH2O", Kind.PRESSURE),
        state=_state(kpa, limit),
    )


def _state(kpa: float, limit: Measured | None) -> RestrictionState:
    if kpa == 0:
        return RestrictionState.NOTHING_SHOWN
    if limit is None:
        return RestrictionState.NOT_JUDGED
    limit_kpa = limit.to("kPa")
    must_be_within("limit of the restriction", limit_kpa, 0.1, _HIGHEST_KPA, "kPa")
    share = kpa / limit_kpa
    if share >= 1 - 1e-9:
        return RestrictionState.AT_OR_ABOVE
    return RestrictionState.NEAR if share >= _NEARLY - 1e-9 else RestrictionState.BELOW
