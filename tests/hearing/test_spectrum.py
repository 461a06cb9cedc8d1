"""Weighting and sums of energy against IEC 61672-1 and a public library."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.spectrum import (
    OCTAVE_HZ,
    OctaveLevels,
    a_weighting_db,
    c_weighting_db,
    energy_sum_db,
    exact_midband_hz,
)

# IEC 61672-1:2013, Table 3, rounded to 0.1 dB (values from memory, well known).
PRINTED = {
    31.5: (-39.4, -3.0),
    63.0: (-26.2, -0.8),
    125.0: (-16.1, -0.2),
    250.0: (-8.6, 0.0),
    500.0: (-3.2, 0.0),
    1000.0: (0.0, 0.0),
    2000.0: (1.2, -0.2),
    4000.0: (1.0, -0.8),
    8000.0: (-1.1, -3.0),
    16000.0: (-6.6, -8.5),
}


@pytest.mark.parametrize(("hz", "printed"), PRINTED.items())
def test_weighting_matches_the_printed_table(
    hz: float, printed: tuple[float, float]
) -> None:
    """A and C weighting round to the printed table at every octave."""
    exact = exact_midband_hz(hz)

    assert round(float(a_weighting_db(exact)), 1) == printed[0]
    assert round(float(c_weighting_db(exact)), 1) == pytest.approx(printed[1])


@pytest.mark.parametrize(
    ("nominal", "per_octave", "exact"),
    [
        (63.0, 1, 63.096),
        (125.0, 1, 125.893),
        (8000.0, 1, 7943.28),
        (3150.0, 3, 3162.28),
    ],
)
def test_exact_midbands_are_powers_of_ten(
    nominal: float, per_octave: int, exact: float
) -> None:
    """Exact midband frequencies follow the base-ten series of IEC 61260-1:2014."""
    assert exact_midband_hz(nominal, per_octave) == pytest.approx(exact, rel=1e-5)


def test_weighting_filters_of_a_library_agree() -> None:
    """PyOctaveBand's A and C filters have the response that the formula gives."""
    library = pytest.importorskip("pyoctaveband")
    rate = 192_000
    seconds = np.arange(rate) / rate
    for curve, formula in (("A", a_weighting_db), ("C", c_weighting_db)):
        for hz in (63.0, 250.0, 1000.0, 4000.0, 8000.0):
            tone = np.sin(2 * np.pi * hz * seconds)
            out = np.asarray(library.weighting_filter(tone, rate, curve))
            steady = slice(rate // 4, 3 * rate // 4)
            gain = 20 * math.log10(np.std(out[steady]) / np.std(tone[steady]))

            assert gain == pytest.approx(float(formula(hz)), abs=0.1)


def test_two_equal_sounds_add_three_decibels() -> None:
    """Two sounds of 82 dB make 85 dB, and nothing makes silence."""
    assert energy_sum_db((82, 82)) == pytest.approx(85.01, abs=0.005)
    assert energy_sum_db(()) == -math.inf


def test_bands_under_a_protector_add_up() -> None:
    """HSE's octave-band example: eight A-weighted bands make 81 dBA."""
    bands = (66, 73, 79, 71, 69, 67, 56, 59)

    assert energy_sum_db(bands) == pytest.approx(81.14, abs=0.005)
    assert round(energy_sum_db(bands)) == 81


def test_a_level_of_an_idling_machine() -> None:
    """Octaves 78 76 74 70 64 56 from 250 Hz make 78.4 dBA (worked out anew)."""
    noise = OctaveLevels.of((-math.inf, 78, 76, 74, 70, 64, 56))

    assert noise.a_level_dba == pytest.approx(78.4, abs=0.05)


def test_seven_or_eight_levels_name_their_bands() -> None:
    """Seven levels start at 125 Hz, eight at 63 Hz, and both end at 8 kHz."""
    assert OctaveLevels.of([60] * 7).midband_hz == OCTAVE_HZ[1:]
    assert OctaveLevels.of([60] * 8).midband_hz == OCTAVE_HZ
    assert OctaveLevels.of(range(8)).speech_bands_db == (2, 3, 4, 5, 6, 7)


@pytest.mark.parametrize(
    "values", [[60] * 6, [60] * 9, [math.nan] * 7, [math.inf] * 8, [200] * 8]
)
def test_impossible_octaves_are_refused(values: list[float]) -> None:
    """A wrong count or a level that no yard has gets a clear error."""
    with pytest.raises(LevelError, match="give"):
        OctaveLevels.of(values)


def test_silence_has_no_shape_to_scale() -> None:
    """Scaling needs at least one level that is there."""
    with pytest.raises(LevelError, match="at least one level"):
        OctaveLevels.of([-math.inf] * 7).scaled_to_dba(60)


@given(
    st.lists(st.floats(0, 120), min_size=7, max_size=8),
    st.floats(20, 110),
)
def test_scaling_keeps_the_shape_and_hits_the_level(
    values: list[float], target: float
) -> None:
    """Scaled octaves differ by one figure and have the level asked for."""
    levels = OctaveLevels.of(values)
    scaled = levels.scaled_to_dba(target)
    changes = np.subtract(scaled.level_db, levels.level_db)

    assert scaled.a_level_dba == pytest.approx(target)
    assert np.ptp(changes) == pytest.approx(0, abs=1e-9)


@given(st.lists(st.floats(0, 120), min_size=1, max_size=8))
def test_a_sum_lies_between_the_loudest_and_all_being_as_loud(
    values: list[float],
) -> None:
    """No sum is below its loudest part nor above that many parts of it."""
    total = energy_sum_db(values)

    assert total >= max(values) - 1e-9
    assert total <= max(values) + 10 * math.log10(len(values)) + 1e-9
