"""A deck holds every zone, point and kind of situation once, in walking order."""

from __future__ import annotations

import pytest

from voicecheck.errors import LearnError
from voicecheck.learn.cards import CardSort, parse, zone_card
from voicecheck.learn.deck import deck
from voicecheck.learn.situations import build
from voicecheck.round.checklist import Checklist
from voicecheck.testing.small_checklist import small_checklist


def test_all_of_a_machine_once_in_walking_order(checklist: Checklist) -> None:
    """Zones in order, each followed by its points in order, then its calls."""
    made = deck(checklist)
    cards = made.cards

    of = {
        sort: [card.subject for card in cards if card.sort is sort] for sort in CardSort
    }
    assert of[CardSort.ZONE] == [zone.id for zone in checklist.zones]
    assert of[CardSort.POINT] == [point.id for point in checklist.checkpoints]
    assert sorted(of[CardSort.CALL]) == sorted({one.kind for one in build(checklist)})
    zones = [made.zone_of[card.id] for card in cards]
    assert list(dict.fromkeys(zones)) == of[CardSort.ZONE]
    assert zones == sorted(zones, key=of[CardSort.ZONE].index)


def test_ids_lead_back_to_cards(loader: Checklist) -> None:
    """What stands in personal events names its card."""
    cards = deck(loader).cards

    assert tuple(parse(card.id) for card in cards) == cards
    assert len({card.id for card in cards}) == len(cards)


@pytest.mark.parametrize("wrong", ["", "x", "a/zone/", "a/horn/b", "a/b"])
def test_other_ids_are_refused(wrong: str) -> None:
    """An id from elsewhere is no card."""
    with pytest.raises(LearnError, match="no card"):
        parse(wrong)


def test_a_card_shows_all_its_situations_in_turn(loader: Checklist) -> None:
    """The same turn shows the same; each turn the next, until all were shown."""
    made = deck(loader)
    for card in made.cards:
        if card.sort is CardSort.CALL:
            choices = made.situations[card.subject]
            shown = [made.shown(card, turn) for turn in range(len(choices))]
            assert {one.id for one in shown} == {one.id for one in choices}
            assert made.shown(card, 0) == shown[0]
            assert {one.kind for one in shown} == {card.subject}


def test_a_zone_shows_no_situation(loader: Checklist) -> None:
    """Asking for one is an error."""
    with pytest.raises(LearnError, match="shows no situation"):
        deck(loader).shown(zone_card("wheel-loader", "bucket"), 0)


def test_an_unknown_machine_can_still_be_learned_in_order() -> None:
    """Where no part is described, zones and points are left to practise."""
    checklist = small_checklist()
    sorts = {card.sort for card in deck(checklist).cards}

    assert {CardSort.ZONE, CardSort.POINT} <= sorts
