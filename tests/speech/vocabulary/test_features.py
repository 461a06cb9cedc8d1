"""How unlike phones are, held against published confusions and formants."""

from __future__ import annotations

import itertools
from statistics import mean

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import spearmanr

from voicecheck.errors import GrammarError
from voicecheck.speech.vocabulary.features import (
    PHONES,
    is_vowel,
    phone_distance,
    phone_strength,
)

phones = st.sampled_from(PHONES)

STOPS = ("P", "T", "K", "B", "D", "G")
STOPS_IN_NOISE = (
    (117, 58, 115, 14, 10, 2),
    (74, 101, 103, 8, 4, 6),
    (105, 109, 153, 5, 8, 4),
    (13, 9, 10, 217, 45, 26),
    (3, 4, 5, 47, 200, 117),
    (3, 11, 8, 45, 147, 94),
)
"""Said by row, heard by column, at -12 dB. Source: Miller and Nicely 1955, JASA
27:338, Table XVIII, read in a note that quotes it."""

TAKEN_FOR = {
    "P": ("K T TH", "B D V"),
    "T": ("P K TH", "G DH Z"),
    "K": ("P T F", "N G Z"),
    "F": ("TH P S", "SH G N"),
    "TH": ("F S P", "D M N"),
    "S": ("TH SH F", "ZH DH N"),
    "SH": ("S TH T", "F P M"),
    "B": ("V DH Z", "N ZH P"),
    "D": ("G ZH DH", "B TH N"),
    "G": ("V D ZH", "S TH M"),
    "V": ("DH Z D", "M N S"),
    "DH": ("Z V ZH", "F TH S"),
    "Z": ("ZH DH V", "P S SH"),
    "ZH": ("Z D G", "S SH B"),
    "M": ("N B S", "P TH Z"),
    "N": ("M Z D", "B G ZH"),
}
"""The three consonants that each was taken for most, and three for which it was
hardly taken, over three ratios. Source: Miller and Nicely 1955, as compiled in a
published experiment."""

FORMANTS_HZ = {
    "IY": (270, 2290),
    "IH": (390, 1990),
    "EH": (530, 1840),
    "AE": (660, 1720),
    "AA": (730, 1090),
    "AO": (570, 840),
    "UH": (440, 1020),
    "UW": (300, 870),
    "AH": (640, 1190),
}
"""First two formants of men. Source: Peterson and Barney 1952, JASA 24:175,
Table II, from memory."""

FAR_APART = (("M", "S"), ("F", "N"), ("K", "M"))
"""Seven features apart or more in the table of the library panphon 0.22.2."""

ONE_APART = (("P", "B"), ("S", "Z"))
"""One feature apart there, namely voice."""


@given(one=phones, other=phones)
def test_distance_is_symmetric_bounded_and_zero_only_for_the_same(
    one: str, other: str
) -> None:
    """No order, never past 0 … 1, and two phones are never one."""
    assert phone_distance(one, other) == phone_distance(other, one)
    assert 0 <= phone_distance(one, other) <= 1
    assert (phone_distance(one, other) == 0) == (one == other)


def test_all_39_phones_are_there() -> None:
    """As many as the CMU dictionary uses: 24 consonants and 15 vowels."""
    assert len(set(PHONES)) == 39
    assert sum(is_vowel(phone) for phone in PHONES) == 15


def test_stops_are_confused_the_more_the_nearer_they_are() -> None:
    """Over the 15 pairs of Table XVIII, distance ranks against confusions."""
    counts = np.asarray(STOPS_IN_NOISE, dtype=float)
    share = counts / counts.sum(axis=1, keepdims=True)
    pairs = list(itertools.combinations(range(6), 2))
    confused = [share[i, j] + share[j, i] for i, j in pairs]
    apart = [phone_distance(STOPS[i], STOPS[j]) for i, j in pairs]

    assert spearmanr(confused, apart).statistic < -0.7


@pytest.mark.parametrize("said", list(TAKEN_FOR))
def test_a_consonant_is_nearer_to_what_it_is_taken_for(said: str) -> None:
    """On average, each of the sixteen is nearer to its three usual mix-ups."""
    often, hardly = (phones.split() for phones in TAKEN_FOR[said])
    assert mean(phone_distance(said, p) for p in often) < mean(
        phone_distance(said, p) for p in hardly
    )


@pytest.mark.parametrize(
    ("near", "far"),
    [
        (("M", "N"), ("M", "S")),
        (("P", "T"), ("P", "B")),
        (("F", "TH"), ("F", "V")),
        (("B", "V"), ("B", "M")),
    ],
)
def test_place_separates_less_than_voice_or_nasality(
    near: tuple[str, str], far: tuple[str, str]
) -> None:
    """Miller and Nicely 1955: place needs 18 dB more than voicing and nasality."""
    assert phone_distance(*near) < phone_distance(*far)


def test_vowels_lie_apart_as_their_formants_do() -> None:
    """Distances rank like those of the formants in bark (Traunmüller 1990)."""

    def bark(hz: float) -> float:
        return 26.81 * hz / (1960 + hz) - 0.53

    points = {v: tuple(bark(hz) for hz in f) for v, f in FORMANTS_HZ.items()}
    pairs = list(itertools.combinations(points, 2))
    formants = [np.hypot(*np.subtract(points[a], points[b])) for a, b in pairs]
    features = [phone_distance(a, b) for a, b in pairs]

    assert spearmanr(formants, features).statistic > 0.8


def test_consonants_far_apart_in_another_table_share_nothing() -> None:
    """Where a general phonological library counts seven features, ours agree.

    Over all pairs of consonants the two rank alike only loosely (0.58): that
    library counts place in several features, of which noise leaves nothing.
    """
    assert all(phone_distance(*pair) == 1.0 for pair in FAR_APART)
    assert all(phone_distance(*pair) == 0.5 for pair in ONE_APART)


def test_strength_follows_phonetic_power() -> None:
    """Fletcher 1953: the loudest vowel has 680 times the power of the th."""
    assert phone_strength("AO") == pytest.approx(1.0)
    assert phone_strength("TH") == min(phone_strength(phone) for phone in PHONES)
    assert phone_strength("SH") > phone_strength("S") > phone_strength("F")


def test_glides_are_like_their_vowels() -> None:
    """W, Y and R are made like a vowel; other consonants share nothing with one."""
    assert phone_distance("W", "UW") < phone_distance("B", "UW") == 1.0
    assert phone_distance("Y", "IY") < phone_distance("Y", "AA") == 1.0


@pytest.mark.parametrize("bad", ["AH0", "ah", "", "XX"])
def test_what_is_no_phone_is_refused(bad: str) -> None:
    """The error says what form phones have."""
    with pytest.raises(GrammarError, match="ARPAbet"):
        phone_distance("AH", bad)
    with pytest.raises(GrammarError, match="ARPAbet"):
        phone_strength(bad)
