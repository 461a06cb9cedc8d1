"""Dose and time-weighted average against 29 CFR 1910.95 and NIOSH 98-126."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.hearing.dose import (
    NIOSH_RECOMMENDED,
    OSHA_HEARING_CONSERVATION,
    OSHA_PERMISSIBLE,
    DoseCriterion,
    EuropeanAction,
    Exposure,
    dose_from_twa_percent,
    dose_percent,
    european_action,
    exceeds_european_limit,
    exposure_level_8h_dba,
    reference_duration_h,
    twa_dba,
)
from voicecheck.hearing.errors import LevelError

CRITERIA = [OSHA_HEARING_CONSERVATION, OSHA_PERMISSIBLE, NIOSH_RECOMMENDED]

THREE_PARTS = (
    Exposure(level_dba=95, duration_h=2),
    Exposure(level_dba=90, duration_h=4),
    Exposure(level_dba=85, duration_h=2),
)

# 29 CFR 1910.95 Appendix A, Table G-16A as printed, hours.
TABLE_G_16A = {
    80: 32,
    85: 16,
    90: 8,
    92: 6.1,
    95: 4,
    97: 3.0,
    100: 2,
    105: 1,
    110: 0.5,
    115: 0.25,
}

# DHHS (NIOSH) 98-126, T = 480 / 2^((L - 85)/3), minutes.
NIOSH_MINUTES = {82: 960, 85: 480, 88: 240, 91: 120, 94: 60, 97: 30, 100: 15, 103: 7.5}

# 29 CFR 1910.95 Appendix A, Table A-1 (percent, dBA), worked out by its formula.
TWA = {
    10: 73.4,
    25: 80.0,
    50: 85.0,
    75: 87.9,
    100: 90.0,
    130: 91.9,
    150: 92.9,
    200: 95.0,
    400: 100.0,
}


@pytest.mark.parametrize(("level", "hours"), TABLE_G_16A.items())
def test_hours_of_table_g_16a(level: float, hours: float) -> None:
    """The formula gives the printed hours to the last printed figure."""
    computed = reference_duration_h(level, OSHA_HEARING_CONSERVATION)

    assert computed == pytest.approx(hours, abs=0.05)


@pytest.mark.parametrize(("level", "hours"), [(92, 6.063), (97, 3.031), (83, 21.11)])
def test_hours_that_prints_disagree_on(level: float, hours: float) -> None:
    """At 83 dBA copies print 21.1 and 21.2; the formula says 21.11."""
    computed = reference_duration_h(level, OSHA_HEARING_CONSERVATION)

    assert computed == pytest.approx(hours, abs=0.005)


@pytest.mark.parametrize(("level", "minutes"), NIOSH_MINUTES.items())
def test_minutes_of_the_niosh_criterion(level: float, minutes: float) -> None:
    """NIOSH 98-126: three decibels halve the time, 85 dBA gives 480 min."""
    computed = 60 * reference_duration_h(level, NIOSH_RECOMMENDED)

    assert computed == pytest.approx(minutes)


@pytest.mark.parametrize(("percent", "average"), TWA.items())
def test_averages_of_table_a_1(percent: float, average: float) -> None:
    """Dose to average and back, 29 CFR 1910.95 Appendix A."""
    assert twa_dba(percent, OSHA_PERMISSIBLE) == pytest.approx(average, abs=0.05)
    assert dose_from_twa_percent(average, OSHA_PERMISSIBLE) == pytest.approx(
        percent, rel=0.01
    )


def test_eight_hours_at_92() -> None:
    """29 CFR 1910.95 Appendix A: 8 h at 92 dBA over 6.1 h is 131 percent."""
    dose = dose_percent(
        [Exposure(level_dba=92, duration_h=8)], OSHA_HEARING_CONSERVATION
    )

    assert dose == pytest.approx(100 * 8 / 6.063, abs=0.02)
    assert dose == pytest.approx(131, abs=1)


def test_three_part_day_by_osha() -> None:
    """2 h at 95, 4 h at 90, 2 h at 85: 112.5 %, 90.85 dBA (worked out anew)."""
    dose = dose_percent(THREE_PARTS, OSHA_HEARING_CONSERVATION)

    assert dose == pytest.approx(112.5)
    assert twa_dba(dose, OSHA_HEARING_CONSERVATION) == pytest.approx(90.85, abs=0.005)


def test_permissible_limit_leaves_out_what_lies_below_90() -> None:
    """Table G-16 starts at 90 dBA: the 85 dBA part does not count for it."""
    assert dose_percent(THREE_PARTS, OSHA_PERMISSIBLE) == pytest.approx(100.0)


def test_three_part_day_by_niosh() -> None:
    """The same day by NIOSH 98-126: 435.7 %, 91.39 dBA (worked out anew)."""
    dose = dose_percent(THREE_PARTS, NIOSH_RECOMMENDED)

    assert dose == pytest.approx(435.7, abs=0.05)
    assert twa_dba(dose, NIOSH_RECOMMENDED) == pytest.approx(91.39, abs=0.005)


def test_action_level_is_half_a_dose() -> None:
    """1910.95(c)(1): a dose of 50 % and an average of 85 dBA are the same."""
    dose = dose_percent(
        [Exposure(level_dba=85, duration_h=8)], OSHA_HEARING_CONSERVATION
    )

    assert dose == 50.0
    assert twa_dba(dose, OSHA_HEARING_CONSERVATION) == pytest.approx(85.0, abs=0.005)


@pytest.mark.parametrize(("level", "counted"), [(79.9, False), (80.0, True)])
def test_threshold_includes_80(level: float, counted: bool) -> None:
    """Levels from 80 dBA on count for hearing conservation (from memory)."""
    dose = dose_percent(
        [Exposure(level_dba=level, duration_h=8)], OSHA_HEARING_CONSERVATION
    )

    assert (dose > 0) is counted


def test_no_noise_gives_no_dose() -> None:
    """A day without exposures has no dose, no average and no exposure level."""
    assert dose_percent([], NIOSH_RECOMMENDED) == 0
    assert twa_dba(0, NIOSH_RECOMMENDED) == -math.inf
    assert exposure_level_8h_dba([]) == -math.inf


@pytest.mark.parametrize(
    ("level", "hours", "expected"),
    [(85, 8, 85.0), (88, 4, 84.99), (85, 16, 88.01), (100, 0.25, 84.95)],
)
def test_exposure_level_spreads_energy_over_eight_hours(
    level: float, hours: float, expected: float
) -> None:
    """ISO 1999: L_EX,8h = L + 10 log10(T / 8 h)."""
    day = [Exposure(level_dba=level, duration_h=hours)]

    assert exposure_level_8h_dba(day) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(
    ("level", "action"),
    [
        (79.9, EuropeanAction.BELOW),
        (80.0, EuropeanAction.LOWER),
        (84.9, EuropeanAction.LOWER),
        (85.0, EuropeanAction.UPPER),
    ],
)
def test_european_action_values(level: float, action: EuropeanAction) -> None:
    """Directive 2003/10/EC article 3: 80 and 85 dBA; a tie counts as reached."""
    day = [Exposure(level_dba=level, duration_h=8)]

    assert european_action(exposure_level_8h_dba(day)) is action


@pytest.mark.parametrize(("level", "passed"), [(87.0, False), (87.1, True)])
def test_european_limit(level: float, passed: bool) -> None:
    """Directive 2003/10/EC article 3: 87 dBA may be met, not exceeded."""
    assert exceeds_european_limit(level) is passed


@pytest.mark.parametrize(
    ("level", "hours"), [(-1, 1), (161, 1), (90, -1), (90, 25), (math.nan, 1)]
)
def test_impossible_exposures_are_refused(level: float, hours: float) -> None:
    """An exposure that no day holds gets a clear error."""
    with pytest.raises(LevelError, match="give"):
        Exposure(level_dba=level, duration_h=hours)


def test_more_than_a_day_is_refused() -> None:
    """Parts that add up to more than 24 hours are a mistake."""
    parts = [Exposure(level_dba=85, duration_h=13)] * 2

    with pytest.raises(LevelError, match="24"):
        dose_percent(parts, NIOSH_RECOMMENDED)
    with pytest.raises(LevelError, match="24"):
        exposure_level_8h_dba(parts)


def test_a_negative_dose_is_refused() -> None:
    """No average belongs to a negative dose."""
    with pytest.raises(LevelError, match="0 %"):
        twa_dba(-1, NIOSH_RECOMMENDED)


@given(
    st.sampled_from(CRITERIA),
    st.floats(0, 140),
    st.floats(0, 20),
    st.floats(0, 12),
    st.floats(0, 12),
)
def test_dose_never_falls_with_level_or_time(
    criterion: DoseCriterion, level: float, louder: float, hours: float, longer: float
) -> None:
    """More noise or more time never lowers a dose."""
    base = dose_percent([Exposure(level_dba=level, duration_h=hours)], criterion)
    more = Exposure(level_dba=level + louder, duration_h=hours + longer)

    assert dose_percent([more], criterion) >= base * (1 - 1e-12)


@given(st.sampled_from(CRITERIA), st.floats(0.01, 10_000))
def test_dose_and_average_are_each_others_inverse(
    criterion: DoseCriterion, percent: float
) -> None:
    """Going to the average and back gives the dose again."""
    there_and_back = dose_from_twa_percent(twa_dba(percent, criterion), criterion)

    assert there_and_back == pytest.approx(percent)
