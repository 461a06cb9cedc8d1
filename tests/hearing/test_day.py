"""One day against every bound."""

from __future__ import annotations

import pytest

from voicecheck.hearing.day import sum_up_day
from voicecheck.hearing.dose import EuropeanAction, Exposure


@pytest.mark.parametrize(
    ("level", "reached"), [(84.9, False), (85.0, True), (85.1, True)]
)
def test_osha_action_level_includes_85(level: float, reached: bool) -> None:
    """29 CFR 1910.95(c)(1): exposures that equal or exceed 85 dBA."""
    day = sum_up_day([Exposure(level_dba=level, duration_h=8)])

    assert day.reaches_osha_action_level is reached


@pytest.mark.parametrize(("level", "passed"), [(90.0, False), (90.1, True)])
def test_osha_limit_is_passed_only_above_90(level: float, passed: bool) -> None:
    """29 CFR 1910.95(b): levels that exceed Table G-16, eight hours at 90."""
    day = sum_up_day([Exposure(level_dba=level, duration_h=8)])

    assert day.exceeds_osha_limit is passed


@pytest.mark.parametrize(("level", "reached"), [(84.9, False), (85.0, True)])
def test_niosh_limit_includes_85(level: float, reached: bool) -> None:
    """NIOSH 98-126: at or above 85 dBA over eight hours is hazardous."""
    day = sum_up_day([Exposure(level_dba=level, duration_h=8)])

    assert day.reaches_niosh_limit is reached


def test_action_values_ignore_protectors_and_the_limit_counts_them() -> None:
    """Directive 2003/10/EC article 3(2): only the limit looks under the cup."""
    parts = [Exposure(level_dba=98, duration_h=8, protector_worn=True)]
    day = sum_up_day(parts, reduction_db=20)

    assert day.european_action is EuropeanAction.UPPER
    assert day.exposure_8h_at_ear_dba == pytest.approx(78.0)
    assert day.exceeds_european_limit is False


def test_a_quarter_of_the_day_without_protector_spoils_it() -> None:
    """Parts without a protector keep their full level at the ear."""
    parts = [
        Exposure(level_dba=100, duration_h=6, protector_worn=True),
        Exposure(level_dba=100, duration_h=2),
    ]
    day = sum_up_day(parts, reduction_db=30)

    assert day.exposure_8h_at_ear_dba == pytest.approx(94.0, abs=0.05)
    assert day.exceeds_european_limit is True


def test_unknown_protection_stays_unknown() -> None:
    """Without a reduction nothing is said about the level at the ear."""
    day = sum_up_day([Exposure(level_dba=98, duration_h=8, protector_worn=True)])

    assert day.exposure_8h_at_ear_dba is None
    assert day.exceeds_european_limit is None


def test_bare_ears_need_no_reduction() -> None:
    """Where no protector was worn the level at the ear is that outside."""
    day = sum_up_day([Exposure(level_dba=88, duration_h=8)])

    assert day.exposure_8h_at_ear_dba == pytest.approx(88.0)
    assert day.exceeds_european_limit is True


@pytest.mark.parametrize(("level", "passed"), [(115.0, False), (115.1, True)])
def test_the_end_of_table_g_16(level: float, passed: bool) -> None:
    """29 CFR 1910.95 Table G-16 ends at 115 dBA."""
    day = sum_up_day([Exposure(level_dba=level, duration_h=0.01)])

    assert day.exceeds_steady_ceiling is passed
