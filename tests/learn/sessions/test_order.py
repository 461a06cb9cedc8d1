"""An order said from memory, held against the walk: grades, events, words.

Kendall's tau of the worked order below: of ten pairs one is turned round, so
(9 - 1) / 10 = 0.8 (Kendall 1938, Biometrika 30:81, by its definition).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.learn.cards import point_card
from voicecheck.learn.events import Grade, Order, Review
from voicecheck.learn.sessions.order import GIVEN_AWAY, compare
from voicecheck.learn.sessions.texts import Texts

EXPECTED = ("a", "b", "c", "d", "e")
TITLES = {place: place.upper() for place in "abcdefgh"}
TEXTS = Texts("next", "en")


def test_one_swap_is_named_and_costs_one_pair_of_ten() -> None:
    """Tau is 0.8; one of the two is moved, and the words say where it belongs."""
    found = compare("z", EXPECTED, ("a", "c", "b", "d", "e"), {})

    assert found.tau == pytest.approx(0.8)
    assert not found.right
    assert sorted(found.grade(p) for p in EXPECTED) == [Grade.HARD, *[Grade.GOOD] * 4]
    text = found.text(TEXTS, TITLES, "Zone")
    assert text in (
        "Zone: C comes after B. Order: tau 0.80.",
        "Zone: B comes after A. Order: tau 0.80.",
    )


@pytest.mark.parametrize(
    ("said", "hints", "expected"),
    [
        ("abcde", 0, Grade.GOOD),
        ("abcde", 1, Grade.HARD),
        ("abcde", 2, Grade.HARD),
        ("abcde", GIVEN_AWAY, Grade.AGAIN),
        ("abde", 0, Grade.AGAIN),
        ("abdec", 0, Grade.HARD),
    ],
    ids=["known", "one hint", "two hints", "given away", "left out", "moved"],
)
def test_how_well_a_point_was_recalled(said: str, hints: int, expected: Grade) -> None:
    """What was left out or given away is not known; hints and moves are half."""
    found = compare("z", EXPECTED, tuple(said), {"c": hints} if hints else {})

    assert found.grade("c") is expected


def test_only_the_first_steps_are_said() -> None:
    """A long list is for the page; the rest is counted."""
    text = compare(None, tuple("abcdef"), (), {}).text(TEXTS, TITLES)

    assert text.count("You left out") == 4
    assert "And 2 more." in text
    assert "tau" not in text


def test_what_does_not_belong_is_named() -> None:
    """It has no card here, and so no review."""
    found = compare("z", ("a", "b"), ("a", "h", "b"), {})

    assert "H does not belong there." in found.text(TEXTS, TITLES, "Zone")
    reviews = [e for e in found.events("m", point_card) if isinstance(e, Review)]
    assert [review.card for review in reviews] == ["m/point/a", "m/point/b"]


@given(st.permutations(EXPECTED), st.integers(0, 5))
def test_every_expected_place_gets_one_review(said: list[str], kept: int) -> None:
    """Whatever was said: one order, one review each; right means all good."""
    found = compare("z", EXPECTED, said[:kept], {})

    order, *reviews = found.events("m", point_card)
    assert isinstance(order, Order) and order.said == tuple(said[:kept])
    assert len(reviews) == len(EXPECTED)
    good = all(isinstance(r, Review) and r.grade is Grade.GOOD for r in reviews)
    assert found.right == good
    if found.tau is not None:
        assert -1 <= found.tau <= 1
