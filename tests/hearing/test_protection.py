"""Level under a protector against ISO 4869-2, HSE, 1910.95 and EN 458."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.protection import (
    REAL_WORLD_DB,
    ProtectionVerdict,
    derated_level_by_nrr,
    hml_protection_db,
    judge_protection,
    level_by_octave_bands,
    level_from_dba_by_hml,
    level_from_dba_by_nrr,
    level_from_dbc_by_nrr,
    level_from_dbc_by_snr,
    octave_levels_under,
)
from voicecheck.hearing.protector import HmlRating, OctaveAttenuation
from voicecheck.hearing.spectrum import OctaveLevels

DEFENDER = OctaveAttenuation(
    mean_db=(13, 20, 33, 35, 38, 47, 41), deviation_db=(6, 6, 6, 6, 7, 8, 8)
)


@pytest.mark.parametrize(
    ("a_level", "c_level", "rating", "reduction", "at_ear"),
    [
        (96.0, 99.0, (30, 24, 22), 23.75, 72.25),
        (103.2, 103.4, (25, 19, 13), 21.7, 81.5),
    ],
)
def test_hml_examples(
    a_level: float,
    c_level: float,
    rating: tuple[float, float, float],
    reduction: float,
    at_ear: float,
) -> None:
    """HSE's published H-M-L examples (ISO 4869-2 method)."""
    high, medium, low = rating
    hml = HmlRating(high_db=high, medium_db=medium, low_db=low)

    assert hml_protection_db(hml, c_level - a_level) == pytest.approx(reduction)
    assert level_from_dba_by_hml(a_level, c_level, hml) == pytest.approx(at_ear)


def test_hml_with_real_world_addition() -> None:
    """HSE (Great Britain): 72.25 and 4 dB make 76.3; 81.5 and 4 dB 85.5."""
    assert pytest.approx(76.3, abs=0.06) == 72.25 + REAL_WORLD_DB
    assert 81.5 + REAL_WORLD_DB == 85.5


def test_hml_stays_between_high_and_nothing() -> None:
    """Beyond its range the method promises neither more than H nor a gain."""
    hml = HmlRating(high_db=25, medium_db=19, low_db=13)

    assert hml_protection_db(hml, -2) == 25
    assert hml_protection_db(hml, -10) == 25
    assert hml_protection_db(hml, 2) == 19
    assert hml_protection_db(hml, 10) == 13
    assert hml_protection_db(hml, 40) == 0


def test_snr_example() -> None:
    """HSE's published SNR example: 97 dBC less 28 is 69, 73 with 4 dB."""
    level = level_from_dbc_by_snr(97.0, 28)

    assert level == 69
    assert level + REAL_WORLD_DB == 73


def test_octave_band_method_band_by_band() -> None:
    """HSE's example protector in 90 dB at every octave (worked out anew)."""
    noise = OctaveLevels.of([90] * 7)
    under = octave_levels_under(noise, DEFENDER)

    assert under.level_db == (83, 76, 63, 61, 59, 51, 57)
    assert level_by_octave_bands(noise, DEFENDER) == pytest.approx(71.5, abs=0.1)


def test_missing_63_hz_protection_is_that_of_125_hz() -> None:
    """Eight noise levels with seven protection values (common practice)."""
    under = octave_levels_under(OctaveLevels.of([90] * 8), DEFENDER)

    assert under.level_db[:2] == (83, 83)


def test_63_hz_protection_without_noise_level_is_left_out() -> None:
    """Seven noise levels with eight protection values keep their bands."""
    protector = OctaveAttenuation(mean_db=(5, *DEFENDER.mean_db), deviation_db=(0,) * 8)
    under = octave_levels_under(OctaveLevels.of([90] * 7), protector)

    assert under.level_db == tuple(90 - mean for mean in DEFENDER.mean_db)


def test_nrr_examples() -> None:
    """NRR 29 at 100 dB: 78 and 71 (1910.95 App. B), 89 and 84 derated.

    The derating is that of the OSHA Technical Manual, from memory.
    """
    assert level_from_dba_by_nrr(100, 29) == 78
    assert level_from_dbc_by_nrr(100, 29) == 71
    assert derated_level_by_nrr(100, 29) == 89
    assert derated_level_by_nrr(100, 29, second_protector=True) == 84


def test_a_tiny_nrr_never_makes_it_louder() -> None:
    """An NRR below 7 counts as nothing."""
    assert level_from_dba_by_nrr(90, 5) == 90
    assert derated_level_by_nrr(90, 5) == 90


@pytest.mark.parametrize(
    ("level", "verdict"),
    [
        (85.1, ProtectionVerdict.TOO_LITTLE),
        (85.0, ProtectionVerdict.ACCEPTABLE_LOUD),
        (80.1, ProtectionVerdict.ACCEPTABLE_LOUD),
        (80.0, ProtectionVerdict.GOOD),
        (75.0, ProtectionVerdict.GOOD),
        (74.9, ProtectionVerdict.ACCEPTABLE_QUIET),
        (70.0, ProtectionVerdict.ACCEPTABLE_QUIET),
        (69.9, ProtectionVerdict.TOO_MUCH),
    ],
)
def test_verdicts_at_their_boundaries(level: float, verdict: ProtectionVerdict) -> None:
    """EN 458 table, from memory; ties fall to the better side, as documented."""
    assert judge_protection(level) is verdict


def test_verdict_follows_the_sites_action_level() -> None:
    """With an action level of 80 the whole table moves down by 5 dB."""
    assert judge_protection(80.1, 80) is ProtectionVerdict.TOO_LITTLE
    assert judge_protection(75.0, 80) is ProtectionVerdict.GOOD
    assert judge_protection(64.9, 80) is ProtectionVerdict.TOO_MUCH


def test_no_number_no_verdict() -> None:
    """A level that is no number is refused, never called good."""
    with pytest.raises(LevelError):
        judge_protection(math.nan)


@given(st.floats(0, 120), st.floats(0, 40))
def test_a_louder_ear_never_has_more_protection(level: float, more: float) -> None:
    """The verdict moves one way only, from too little to too much."""
    order = list(ProtectionVerdict)
    louder, quieter = judge_protection(level + more), judge_protection(level)

    assert order.index(louder) <= order.index(quieter)


@given(
    st.floats(-10, 30),
    st.floats(0, 10),
    st.tuples(st.floats(0, 40), st.floats(0, 40), st.floats(0, 40)),
)
def test_hml_protects_less_as_the_noise_gets_lower(
    difference: float, more: float, ratings: tuple[float, float, float]
) -> None:
    """The lower-pitched the noise, the smaller the reduction."""
    low, medium, high = sorted(ratings)
    hml = HmlRating(high_db=high, medium_db=medium, low_db=low)
    before = hml_protection_db(hml, difference)

    assert hml_protection_db(hml, difference + more) <= before + 1e-9
    assert 0 <= before <= high + 1e-9
