"""A protector's figures and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.hearing.errors import ProtectorDataError
from voicecheck.hearing.protector import HmlRating, OctaveAttenuation, Protector

MEAN = (13.0, 20.0, 33.0, 35.0, 38.0, 47.0, 41.0)
DEVIATION = (6.0, 6.0, 6.0, 6.0, 7.0, 8.0, 8.0)


def test_assumed_protection_is_mean_less_one_deviation() -> None:
    """HSE's published example, 125 Hz to 8 kHz: 7 14 27 29 31 39 33."""
    attenuation = OctaveAttenuation(mean_db=MEAN, deviation_db=DEVIATION)

    assert attenuation.assumed_protection_db() == (7, 14, 27, 29, 31, 39, 33)


def test_assumed_protection_never_turns_to_gain() -> None:
    """Three deviations of 6 dB off 13 dB count as no protection."""
    attenuation = OctaveAttenuation(mean_db=MEAN, deviation_db=DEVIATION)

    assert attenuation.assumed_protection_db(3.0)[0] == 0


@given(st.floats(0, 3), st.floats(0, 3))
def test_more_deviations_never_protect_more(few: float, more: float) -> None:
    """The careful reading is never the higher one."""
    attenuation = OctaveAttenuation(mean_db=MEAN, deviation_db=DEVIATION)
    careless = attenuation.assumed_protection_db(few)
    careful = attenuation.assumed_protection_db(few + more)

    assert all(low <= high for low, high in zip(careful, careless, strict=True))


@pytest.mark.parametrize(
    ("mean", "deviation", "words"),
    [
        (MEAN[:5], DEVIATION[:5], "seven"),
        (MEAN, DEVIATION[:6], "one for each mean"),
        ((130.0, *MEAN[1:]), DEVIATION, "125 Hz"),
        (MEAN, (-1.0, *DEVIATION[1:]), "deviation at 125 Hz"),
        ((math.nan, *MEAN[1:]), DEVIATION, "125 Hz"),
    ],
)
def test_impossible_octave_data_are_refused(
    mean: tuple[float, ...], deviation: tuple[float, ...], words: str
) -> None:
    """A wrong count or figure is named, with the band."""
    with pytest.raises(ProtectorDataError, match=words):
        OctaveAttenuation(mean_db=mean, deviation_db=deviation)


def test_swapped_h_and_l_are_noticed() -> None:
    """A low value above the high one is most likely a slip."""
    with pytest.raises(ProtectorDataError, match="swapped"):
        HmlRating(high_db=13, medium_db=19, low_db=25)


def test_a_protector_without_figures_is_refused() -> None:
    """Something must be known about it."""
    with pytest.raises(ProtectorDataError, match="SNR, or NRR"):
        Protector(name="unmarked")


@pytest.mark.parametrize(("snr", "nrr"), [(61.0, None), (None, -1.0)])
def test_impossible_single_numbers_are_refused(
    snr: float | None, nrr: float | None
) -> None:
    """No protector takes off 61 dB, and none adds sound."""
    with pytest.raises(ProtectorDataError, match="0 to 60"):
        Protector(snr_db=snr, nrr_db=nrr)
