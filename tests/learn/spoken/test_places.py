"""Zones and points as phrases: sayable, no phrase for two, and told apart."""

from __future__ import annotations

from dataclasses import replace

import pytest

from voicecheck.checklists.loader import load
from voicecheck.errors import GrammarError
from voicecheck.learn.spoken.places import PlaceNames, sounds_apart, words_known
from voicecheck.round.checklist import Checklist
from voicecheck.speech.pocketsphinx_recogniser import PocketSphinxRecogniser
from voicecheck.testing.small_checklist import small_checklist

MACHINES = (
    "articulated-dump-truck",
    "crawler-excavator",
    "telescopic-handler",
    "track-dozer",
    "wheel-loader",
)
LOADER = load("wheel-loader")
NAMES = PlaceNames(LOADER)


def points(zone_id: str, checklist: Checklist = LOADER) -> list[str]:
    """Ids of the points of a zone."""
    return [point.id for point in checklist.zone(zone_id).checkpoints]


@pytest.mark.parametrize("machine", MACHINES)
def test_every_place_of_every_machine_is_known(machine: str) -> None:
    """The recogniser knows a name of each zone and point that is shipped."""
    names = PlaceNames(load(machine), PocketSphinxRecogniser().knows)

    assert names.silent() == ()


@pytest.mark.parametrize("machine", ["crawler-excavator", "wheel-loader"])
def test_every_place_of_a_zone_can_be_said(machine: str) -> None:
    """No place is left without a phrase among the others, and no phrase is two's."""
    checklist = load(machine)
    names = PlaceNames(checklist)

    assert len(names.phrases([zone.id for zone in checklist.zones])) == len(
        checklist.zones
    )
    for zone in checklist.zones:
        found = names.phrases([point.id for point in zone.checkpoints])
        every = [phrase for phrases in found.values() for phrase in phrases]
        assert all(found.values())
        assert len(every) == len(set(every)), zone.id


def test_the_zone_at_hand_may_be_left_out_of_a_name() -> None:
    """In a wheel's zone "tread" is its tread; from elsewhere the whole is needed."""
    here = NAMES.phrases([*points("left_front_wheel"), *points("bucket")])
    there = NAMES.phrases([*points("bucket"), *points("left_front_wheel")])

    assert here["left_front_tread"] == ("left front tread", "tread")
    assert there["left_front_tread"] == ("left front tread",)


def test_a_form_of_two_points_of_a_zone_is_neither() -> None:
    """Plain "pins" could be the bucket's or those of its teeth."""
    found = NAMES.phrases(points("bucket"))

    assert all("pins" not in phrases for phrases in found.values())


def test_a_form_belongs_to_the_place_where_the_learner_stands() -> None:
    """A "horn" of two zones is that of the first."""
    small = small_checklist()
    cab = small.zone("cab")
    second = replace(
        cab, id="roof", title="roof", checkpoints=(replace(cab.checkpoints[0], id="b"),)
    )
    names = PlaceNames(replace(small, zones=(*small.zones[:3], cab, second)))

    assert names.phrases(["horn"])["horn"] == ("horn",)
    with pytest.raises(GrammarError, match="--typed"):
        names.phrases(["horn", "b"])


def test_short_forms_that_sound_alike_are_left_out() -> None:
    """No short form lies closer to another place than what ears tell apart."""
    for zone in LOADER.zones:
        found = NAMES.phrases([point.id for point in zone.checkpoints])
        for place, phrases in found.items():
            rest = [f for other, fs in found.items() if other != place for f in fs]
            for short in phrases[1:]:
                near = [o for o in rest if len(o) * 0.6 <= len(short) <= len(o) / 0.6]
                assert all(sounds_apart(short, other, "en") >= 0.25 for other in near)


def test_the_clearest_form_is_the_one_farthest_from_all_others() -> None:
    """The wheel's points share their side, so that their short names are clearer."""
    ids = points("left_front_wheel")

    assert NAMES.clearest("left_front_tread", ids) == "tread"


def test_an_unknown_word_takes_its_form_with_it() -> None:
    """What the dictionary lacks is never listened for, and is told beforehand."""
    names = PlaceNames(LOADER, lambda word: word != "horn")

    assert names.silent() == ("horn",)
    with pytest.raises(GrammarError, match=r"horn .*pronunciations\.dict"):
        names.phrases(points("function_checks"))
    assert not words_known("en")("frobnicator")


def test_a_korean_word_may_be_two_known_ones() -> None:
    """The model knows the parts of a compound, not the whole."""
    names = PlaceNames(load("wheel-loader", "ko"), lambda word: word != "굴절부")

    assert names.phrases(["joint_left"])["joint_left"][0] == "굴절 부 왼쪽"


def test_names_given_by_hand_come_first() -> None:
    """Start checks are whole questions; their names are listed."""
    found = NAMES.phrases(points("approach"))

    assert found["cab_empty"][:2] == ("empty cab", "nobody in the cab")


def test_nothing_to_say_is_no_error() -> None:
    """Where only steering words are left no place is listed."""
    assert NAMES.phrases([]) == {}
