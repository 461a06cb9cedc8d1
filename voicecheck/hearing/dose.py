"""Noise dose and time-weighted average, and the European exposure level.

A dose of 100 % is the whole day's allowance of one criterion. Doses are
counted without regard to hearing protectors, as the rules ask.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.spectrum import HIGHEST_LEVEL_DB

__all__ = [
    "NIOSH_RECOMMENDED",
    "OSHA_HEARING_CONSERVATION",
    "OSHA_PERMISSIBLE",
    "DoseCriterion",
    "EuropeanAction",
    "Exposure",
    "dose_from_twa_percent",
    "dose_percent",
    "european_action",
    "exceeds",
    "exceeds_european_limit",
    "exposure_level_8h_dba",
    "reaches",
    "reference_duration_h",
    "twa_dba",
]

HOURS_IN_A_DAY = 24.0
EUROPEAN_LOWER_ACTION_DBA = 80.0
EUROPEAN_UPPER_ACTION_DBA = 85.0
EUROPEAN_LIMIT_DBA = 87.0

_TIE = 1e-9
"""Rounding error of the logarithm; not a tolerance of the rule."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """A part of the day in noise of one level."""

    level_dba: float
    """A-weighted level outside any protector."""
    duration_h: float
    protector_worn: bool = False
    """Whether a protector was worn for the whole of this part."""

    def __post_init__(self) -> None:
        """Refuse what no day can hold."""
        if not 0 <= self.level_dba <= HIGHEST_LEVEL_DB:
            raise LevelError(
                "noise level", self.level_dba, f"0 to {HIGHEST_LEVEL_DB:g} dBA"
            )
        if not 0 <= self.duration_h <= HOURS_IN_A_DAY:
            raise LevelError("time in noise", self.duration_h, "0 to 24 hours")


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseCriterion:
    """What counts as a full day's dose, and how level trades against time."""

    name: str
    criterion_dba: float
    """Level that gives 100 % in eight hours."""
    exchange_db: float
    """Rise in level that halves the time."""
    twa_factor_db: float
    """Factor before the logarithm in the published TWA formula."""
    threshold_dba: float
    """Levels below this are not counted."""


OSHA_HEARING_CONSERVATION = DoseCriterion(
    name="OSHA hearing conservation",
    criterion_dba=90.0,
    exchange_db=5.0,
    twa_factor_db=16.61,
    threshold_dba=80.0,
)
"""29 CFR 1910.95(c), (d) and Appendix A; the 80 dBA threshold from memory."""

OSHA_PERMISSIBLE = DoseCriterion(
    name="OSHA permissible limit",
    criterion_dba=90.0,
    exchange_db=5.0,
    twa_factor_db=16.61,
    threshold_dba=90.0,
)
"""29 CFR 1910.95(a), (b), Table G-16, which starts at 90 dBA."""

NIOSH_RECOMMENDED = DoseCriterion(
    name="NIOSH recommended limit",
    criterion_dba=85.0,
    exchange_db=3.0,
    twa_factor_db=10.0,
    threshold_dba=80.0,
)
"""DHHS (NIOSH) 98-126; the 80 dBA threshold from memory."""


def reaches(value: float, bound: float) -> bool:
    """Tell whether a value is at or above a bound, exact ties included."""
    return value >= bound - _TIE


def exceeds(value: float, bound: float) -> bool:
    """Tell whether a value is above a bound, exact ties left out."""
    return value > bound + _TIE


def reference_duration_h(level_dba: float, criterion: DoseCriterion) -> float:
    """Return the hours at a level that make up a dose of 100 %.

    Source:
        29 CFR 1910.95 Appendix A: T = 8 / 2^((L − 90)/5) hours; DHHS (NIOSH)
        98-126: T = 480 / 2^((L − 85)/3) minutes. No threshold is applied.
    """
    excess_db = level_dba - criterion.criterion_dba
    return float(8.0 / 2 ** (excess_db / criterion.exchange_db))


def dose_percent(exposures: Sequence[Exposure], criterion: DoseCriterion) -> float:
    """Return the day's dose, D = 100 · Σ C/T, in percent.

    Raises:
        LevelError: the parts add up to more than 24 hours.

    Source:
        29 CFR 1910.95 Appendix A; DHHS (NIOSH) 98-126.
    """
    _check_day(exposures)
    return 100.0 * sum(
        part.duration_h / reference_duration_h(part.level_dba, criterion)
        for part in exposures
        if reaches(part.level_dba, criterion.threshold_dba)
    )


def twa_dba(dose: float, criterion: DoseCriterion) -> float:
    """Return the eight-hour time-weighted average of a dose in percent.

    Returns:
        dBA; -inf for no dose.

    Raises:
        LevelError: the dose is negative.

    Source:
        29 CFR 1910.95 Appendix A: 16.61 · log10(D/100) + 90; DHHS (NIOSH)
        98-126: 10 · log10(D/100) + 85.
    """
    if dose < 0 or math.isnan(dose):
        raise LevelError("noise dose", dose, "0 % or more")
    if dose == 0:
        return -math.inf
    factor = criterion.twa_factor_db
    return factor * math.log10(dose / 100.0) + criterion.criterion_dba


def dose_from_twa_percent(average_dba: float, criterion: DoseCriterion) -> float:
    """Return the dose in percent that a time-weighted average stands for."""
    excess_db = average_dba - criterion.criterion_dba
    return float(100.0 * 10 ** (excess_db / criterion.twa_factor_db))


def exposure_level_8h_dba(exposures: Sequence[Exposure]) -> float:
    """Return L_EX,8h, the day's energy spread over eight hours.

    Returns:
        dBA; -inf where no noise was entered.

    Source:
        ISO 1999, to which Directive 2003/10/EC refers (article 2, from memory).
    """
    _check_day(exposures)
    energy = sum(p.duration_h / 8.0 * 10 ** (p.level_dba / 10) for p in exposures)
    return 10 * math.log10(energy) if energy > 0 else -math.inf


class EuropeanAction(StrEnum):
    """Where a day stands against the action values of Directive 2003/10/EC."""

    BELOW = "below the lower action value"
    LOWER = "lower action value reached"
    UPPER = "upper action value reached"


def european_action(exposure_8h_dba: float) -> EuropeanAction:
    """Compare L_EX,8h without protectors with 80 and 85 dBA.

    An exact boundary counts as reached, the careful side (for the upper
    value the directive itself says "matches or exceeds").

    Source:
        Directive 2003/10/EC, article 3; article 6 from memory.
    """
    if reaches(exposure_8h_dba, EUROPEAN_UPPER_ACTION_DBA):
        return EuropeanAction.UPPER
    if reaches(exposure_8h_dba, EUROPEAN_LOWER_ACTION_DBA):
        return EuropeanAction.LOWER
    return EuropeanAction.BELOW


def exceeds_european_limit(exposure_8h_at_ear_dba: float) -> bool:
    """Tell whether L_EX,8h under the protector is above 87 dBA.

    Exactly 87 is not above it: the value must not be exceeded.

    Source:
        Directive 2003/10/EC, article 3; article 7 from memory.
    """
    return exceeds(exposure_8h_at_ear_dba, EUROPEAN_LIMIT_DBA)


def _check_day(exposures: Sequence[Exposure]) -> None:
    hours = sum(part.duration_h for part in exposures)
    if exceeds(hours, HOURS_IN_A_DAY):
        raise LevelError("time in noise", f"{hours:g} hours in all", "24 or less")
