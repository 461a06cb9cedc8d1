"""Data from the packaging, typed in."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.hearing.errors import ProtectorDataError
from voicecheck.hearing.protector import HmlRating, OctaveAttenuation, Protector
from voicecheck.hearing.protector_text import parse_protector, protector_from_mapping

WHOLE = """
name: yard ear defender     # an invented one
mean: 13 20 33 35 38 47 41
sd:   6 6 6 6 7 8 8
H: 30, M: 24, L: 22
SNR: 28; NRR: 25 dB
"""


def test_every_entry_is_read() -> None:
    """The documented form gives all four kinds of rating."""
    assert parse_protector(WHOLE) == Protector(
        name="yard ear defender",
        octave=OctaveAttenuation(
            mean_db=(13, 20, 33, 35, 38, 47, 41), deviation_db=(6, 6, 6, 6, 7, 8, 8)
        ),
        hml=HmlRating(high_db=30, medium_db=24, low_db=22),
        snr_db=28,
        nrr_db=25,
    )


@pytest.mark.parametrize(
    "text", ["SNR 28", "snr=28", "SNR: 28 dB", "  Snr : 28.0dB # on the box"]
)
def test_small_differences_of_writing_do_not_matter(text: str) -> None:
    """Colon, equals sign, case and unit are free."""
    assert parse_protector(text) == Protector(snr_db=28)


def test_a_mapping_does_as_well() -> None:
    """Numbers and lists of them are read like text."""
    protector = protector_from_mapping(
        {"name": "plugs", "mean": [20] * 8, "sd": [5] * 8, "nrr": 29}
    )

    assert protector.octave is not None
    assert protector.octave.midband_hz[0] == 63
    assert protector.nrr_db == 29


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "none"),
        ("CLASS: 5", "mean, sd, H, M, L"),
        ("SNR: 28\nSNR: 30", "once"),
        ("SNR: high", "plain numbers"),
        ("SNR: nan", "plain numbers"),
        ("SNR: 28 30", "one number"),
        ("SNR:", "one number"),
        ("28", "entry"),
        ("H: 30, M: 24", "L: got nothing"),
        ("mean: 13 20 33 35 38 47 41", "sd: got nothing"),
        ("mean: 1 2 3\nsd: 1 2 3", "seven"),
    ],
)
def test_what_cannot_be_read_is_named(text: str, words: str) -> None:
    """Each mistake says where it is and what would be right."""
    with pytest.raises(ProtectorDataError, match=words) as caught:
        parse_protector(text)

    assert "packaging" in str(caught.value)


@given(st.text(max_size=60))
def test_any_text_gives_a_protector_or_a_clear_error(text: str) -> None:
    """Nothing typed in leads to another error."""
    try:
        result: Protector | ProtectorDataError = parse_protector(text)
    except ProtectorDataError as error:
        result = error

    assert isinstance(result, Protector) or "give" in str(result)


@given(st.integers(0, 60), st.integers(0, 60))
def test_single_numbers_come_back(snr: int, nrr: int) -> None:
    """What is written is what is read."""
    assert parse_protector(f"SNR: {snr}\nNRR: {nrr}") == Protector(
        snr_db=snr, nrr_db=nrr
    )
