"""How far apart phrases sound, held against what radio procedure knows."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.bench.phrases import NEAR_WORDS
from voicecheck.speech.vocabulary.distance import phones_separation, separation
from voicecheck.speech.vocabulary.features import PHONES, phone_strength
from voicecheck.speech.vocabulary.survey import MINIMUM_SEPARATION

spoken = st.lists(st.sampled_from(PHONES), min_size=1, max_size=6).map(tuple)

RHYMES = (
    "went sent bent dent tent rent",
    "hold cold told fold sold gold",
    "pat pad pan path pack pass",
    "lane lay late lake lace lame",
    "kit bit fit hit wit sit",
    "must bust gust rust dust just",
    "din dill dim dig dip did",
    "bed led fed red wed shed",
    "pin sin tin fin din win",
    "not tot got pot hot lot",
    "vest test rest best west nest",
    "shop mop cop top hop pop",
    "same name game tame came fame",
    "took cook look hook shook book",
    "pen hen men then den ten",
)
"""Fifteen sets of the Modified Rhyme Test. Source: House, Williams, Hecker and
Kryter 1965, JASA 37:158, from memory."""


@given(one=spoken, other=spoken)
def test_separation_is_symmetric_and_a_share(
    one: tuple[str, ...], other: tuple[str, ...]
) -> None:
    """Either order gives the same, 0 … 1, and 0 means the same phones."""
    there = phones_separation(one, other)
    assert there == pytest.approx(phones_separation(other, one))
    assert 0 <= there <= 1
    assert (there == 0) == (one == other)


@given(one=spoken, more=spoken)
def test_a_phrase_with_more_in_it_is_apart(
    one: tuple[str, ...], more: tuple[str, ...]
) -> None:
    """At most by what was added, as a share of the longer phrase."""
    longer = (*one, *more)
    added = 1 - _strength(one) / _strength(longer)
    assert 0 < phones_separation(one, longer) <= added + 1e-9


@pytest.mark.parametrize(
    ("farther", "nearer"),
    [
        # ICAO Annex 10 volume II, 5.2.1.4.3: nine is said "niner", so that it is
        # not taken for five
        (("niner", "five"), ("nine", "five")),
        (("niner", "fife"), ("nine", "five")),
        # the same, 5.2.1.5.8: yes is "affirm", no is "negative"; that the long
        # form was given up because it sounds like negative: common practice
        (("affirm", "negative"), ("affirmative", "negative")),
        (("yes", "no"), ("affirmative", "negative")),
    ],
)
def test_radio_words_are_farther_apart(
    farther: tuple[str, str], nearer: tuple[str, str]
) -> None:
    """Words that radio procedure chose lie farther apart than what they replaced."""
    assert separation(*farther) > separation(*nearer)


def test_rhyming_words_lie_below_the_minimum() -> None:
    """Nine in ten pairs of the Modified Rhyme Test would be refused."""
    pairs = [
        separation(one, other)
        for row in RHYMES
        for one, other in itertools.combinations(row.split(), 2)
    ]
    close = sum(apart < MINIMUM_SEPARATION for apart in pairs)
    assert len(pairs) == 225
    assert close / len(pairs) >= 0.9


@pytest.mark.parametrize(
    ("word", "near"),
    [
        ("good", "wood"),
        ("good", "hood"),
        ("leak", "weak"),
        ("leak", "lick"),
        ("defect", "deflect"),
        ("minor", "miner"),
        ("yes", "yet"),
        ("no", "nose"),
    ],
)
def test_near_words_of_the_benchmark_lie_below_the_minimum(
    word: str, near: str
) -> None:
    """Words that the hearing benchmark must turn down sound like ours."""
    assert near in NEAR_WORDS
    assert separation(word, near) < MINIMUM_SEPARATION


def test_words_of_one_sound_have_no_separation() -> None:
    """Miner and minor, no and know: the dictionary gives both the same phones."""
    assert separation("miner", "minor") == 0
    assert separation("no", "know") == 0


def _strength(phones: tuple[str, ...]) -> float:
    return sum(phone_strength(phone) for phone in phones)
