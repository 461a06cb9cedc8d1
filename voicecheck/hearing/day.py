"""One day's noise against every criterion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from voicecheck.hearing.dose import (
    NIOSH_RECOMMENDED,
    OSHA_HEARING_CONSERVATION,
    OSHA_PERMISSIBLE,
    DoseCriterion,
    EuropeanAction,
    Exposure,
    dose_percent,
    european_action,
    exceeds,
    exceeds_european_limit,
    exposure_level_8h_dba,
    reaches,
    twa_dba,
)

__all__ = ["DayOfNoise", "Dose", "sum_up_day"]

OSHA_ACTION_PERCENT = 50.0
FULL_DOSE_PERCENT = 100.0
STEADY_CEILING_DBA = 115.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """A dose by one criterion."""

    criterion: DoseCriterion
    percent: float
    average_dba: float
    """Eight-hour time-weighted average; -inf where nothing counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOfNoise:
    """Doses and exposure level of one day, and which bounds they reach."""

    osha_conservation: Dose
    osha_permissible: Dose
    niosh: Dose
    exposure_8h_dba: float
    """L_EX,8h outside any protector."""
    european_action: EuropeanAction
    exposure_8h_at_ear_dba: float | None
    """L_EX,8h with protectors where worn; None where protection is unknown."""
    loudest_dba: float

    @property
    def reaches_osha_action_level(self) -> bool:
        """At or above 50 %: 1910.95(c)(1) says "equal or exceed" 85 dBA."""
        return reaches(self.osha_conservation.percent, OSHA_ACTION_PERCENT)

    @property
    def exceeds_osha_limit(self) -> bool:
        """Above 100 %: 1910.95(b) speaks of levels that exceed the table."""
        return exceeds(self.osha_permissible.percent, FULL_DOSE_PERCENT)

    @property
    def reaches_niosh_limit(self) -> bool:
        """At or above 100 % (98-126: at or above the limit is hazardous)."""
        return reaches(self.niosh.percent, FULL_DOSE_PERCENT)

    @property
    def exceeds_european_limit(self) -> bool | None:
        """Above 87 dBA at the ear; None where that level is unknown."""
        if self.exposure_8h_at_ear_dba is None:
            return None
        return exceeds_european_limit(self.exposure_8h_at_ear_dba)

    @property
    def exceeds_steady_ceiling(self) -> bool:
        """Louder at any time than 115 dBA, where Table G-16 ends."""
        return exceeds(self.loudest_dba, STEADY_CEILING_DBA)


def sum_up_day(
    exposures: Sequence[Exposure], *, reduction_db: float | None = None
) -> DayOfNoise:
    """Compute one day's doses.

    Args:
        exposures: the parts of the day.
        reduction_db: how far the protector lowers the A-weighted level, taken
            off the parts in which it was worn; None where unknown.

    Raises:
        LevelError: the parts add up to more than 24 hours.
    """
    outside = exposure_level_8h_dba(exposures)
    return DayOfNoise(
        osha_conservation=_dose(exposures, OSHA_HEARING_CONSERVATION),
        osha_permissible=_dose(exposures, OSHA_PERMISSIBLE),
        niosh=_dose(exposures, NIOSH_RECOMMENDED),
        exposure_8h_dba=outside,
        european_action=european_action(outside),
        exposure_8h_at_ear_dba=_at_ear(exposures, reduction_db),
        loudest_dba=max((part.level_dba for part in exposures), default=0.0),
    )


def _dose(exposures: Sequence[Exposure], criterion: DoseCriterion) -> Dose:
    percent = dose_percent(exposures, criterion)
    return Dose(
        criterion=criterion, percent=percent, average_dba=twa_dba(percent, criterion)
    )


def _at_ear(exposures: Sequence[Exposure], reduction_db: float | None) -> float | None:
    worn = any(part.protector_worn for part in exposures)
    if worn and reduction_db is None:
        return None
    lowered = [
        replace(part, level_dba=max(0.0, part.level_dba - (reduction_db or 0.0)))
        if part.protector_worn
        else part
        for part in exposures
    ]
    return exposure_level_8h_dba(lowered)
