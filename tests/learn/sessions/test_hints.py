"""Hints: where or what, the first word, the answer."""

from __future__ import annotations

import pytest

from voicecheck.checklists.loader import load
from voicecheck.learn.sessions.hints import hint_text, side
from voicecheck.learn.sessions.order import GIVEN_AWAY
from voicecheck.learn.sessions.texts import Texts

LOADER = load("wheel-loader")
TEXTS = Texts("next", "en")


def hints(place: str, *, is_zone: bool) -> list[str]:
    """All hints for a place, one after the other."""
    said, given = [], 0
    while given < GIVEN_AWAY:
        given, text = hint_text(
            LOADER, place, is_zone=is_zone, given=given, texts=TEXTS
        )
        said.append(text)
    return said


@pytest.mark.parametrize(
    ("zone", "expected"),
    [
        ("left_front_wheel", "left"),
        ("right_rear_wheel", "right"),
        ("bucket", "front"),
        ("rear", "rear"),
        ("platform", "up"),
        ("function_checks", "up"),
    ],
)
def test_the_side_is_that_of_the_plan(zone: str, expected: str) -> None:
    """Up on the machine the place counts, on the ground the drawing."""
    assert side(LOADER.zone(zone)) == expected


def test_a_zone_is_hinted_at_by_side_word_and_name() -> None:
    """Each hint gives away more."""
    assert hints("left_front_wheel", is_zone=True) == [
        "It is on the left.",
        "It begins with: left.",
        "It is: left front wheel.",
    ]


def test_the_first_word_is_not_that_of_the_zone() -> None:
    """A "left" would say nothing at the left front wheel."""
    assert hints("left_front_nuts", is_zone=False)[1] != "It begins with: left."


def test_where_the_first_word_is_the_answer_the_wrong_is_told() -> None:
    """The name "horn" begins with "horn"."""
    said = hints("horn", is_zone=False)

    assert said[0] == "It is a test from the seat."
    assert LOADER.checkpoint("horn").wrong in said[1]
    assert said[2] == "It is: Horn."


def test_a_side_that_is_the_name_counts_as_the_answer() -> None:
    """Of "the rear" the side says all."""
    assert hints("rear", is_zone=True) == ["It is at the rear."]


@pytest.mark.parametrize("language", ["en", "ko"])
def test_no_first_hint_gives_a_place_away_for_little(language: str) -> None:
    """One that says the name counts as the answer; of points none does."""
    checklist, texts = load("wheel-loader", language), Texts("next", language)

    for zone in checklist.zones:
        count, text = hint_text(checklist, zone.id, is_zone=True, given=0, texts=texts)
        assert (zone.title in text) <= (count == GIVEN_AWAY)
        for point in zone.checkpoints:
            count, text = hint_text(
                checklist, point.id, is_zone=False, given=0, texts=texts
            )
            assert count == 1
            assert point.prompt.rstrip("?") not in text
