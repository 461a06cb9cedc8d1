"""Orders compared: Kendall's tau and the fewest steps."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import kendalltau

from voicecheck.statistics.ordering import (
    EditKind,
    Edits,
    edit_steps,
    kendall,
)

ORDERS = st.lists(st.integers(0, 8), max_size=9)


def redone(edits: Edits[int], expected: list[int], walked: list[int]) -> list[int]:
    """Take away what is extra or moved, and put in what is missing or moved."""
    left = list(walked)
    for step in edits.steps:
        if step.kind is not EditKind.MISSING:
            at = max(i for i, item in enumerate(left) if item == step.item)
            del left[at]
    put = Counter(s.item for s in edits.steps if s.kind is not EditKind.EXTRA)
    return sorted(left + list(put.elements()))


@pytest.mark.parametrize(
    ("walked", "tau"),
    [
        ([1, 3, 2, 4, 6, 5], 0.7333),
        ([1, 2, 3, 4, 5, 6], 1.0),
        ([6, 5, 4, 3, 2, 1], -1.0),
        ([2, 1], -1.0),
    ],
)
def test_worked_taus(walked: list[int], tau: float) -> None:
    """13 of 15 pairs kept is 0.7333; all and none are the ends."""
    assert kendall([1, 2, 3, 4, 5, 6], walked) == pytest.approx(tau, abs=5e-5)


@settings(deadline=None, max_examples=60)
@given(st.permutations(range(7)))
def test_tau_is_that_of_scipy(order: list[int]) -> None:
    """By an independent library, which is held to its documented example: x 12 2 1 12
    2, y 1 4 7 1 0 gives -.471405."""
    documented = kendalltau([12, 2, 1, 12, 2], [1, 4, 7, 1, 0]).statistic

    assert documented == pytest.approx(-0.471405, abs=5e-7)
    assert kendall(range(7), order) == pytest.approx(
        kendalltau(range(7), order).statistic
    )


@pytest.mark.parametrize("walked", [[], [3], [9, 8], [3, 3, 3]])
def test_fewer_than_two_have_no_order(walked: list[int]) -> None:
    """Undefined, and said so: neither 0 nor 1."""
    assert kendall([1, 2, 3], walked) is None


def test_what_comes_again_or_is_not_expected_does_not_count() -> None:
    """The first time counts; strange items do not."""
    assert kendall([1, 2, 3], [1, 9, 2, 1, 3]) == 1.0


def test_an_expected_order_with_a_double_is_refused() -> None:
    """Then there is no single place for it."""
    with pytest.raises(ValueError, match="twice"):
        kendall([1, 1], [1])


@pytest.mark.parametrize(
    ("expected", "walked", "distance"),
    [
        ("kitten", "sitting", 3),  # Wagner & Fischer's problem, textbook example
        ("Saturday", "Sunday", 3),
        ("intention", "execution", 5),  # Jurafsky & Martin
        ("", "abc", 3),
    ],
)
def test_published_distances(expected: str, walked: str, distance: int) -> None:
    """Textbook examples of Levenshtein's distance."""
    assert edit_steps(expected, walked).levenshtein == distance


def test_a_substitution_may_cost_two() -> None:
    """Jurafsky & Martin, Speech and Language Processing: intention to execution is
    8 when a substitution costs 2."""
    assert edit_steps("intention", "execution").distance == 8


def test_words_of_a_sentence() -> None:
    """1 deletion, 1 substitution and 1 insertion over 5 words: 0.60."""
    expected = ["check", "the", "left", "front", "tyre"]
    walked = ["check", "left", "front", "tire", "now"]

    assert edit_steps(expected, walked).levenshtein / len(expected) == 0.6


def test_the_steps_have_names() -> None:
    """One point left out, one too early, one that is not on the list."""
    edits = edit_steps(["oil", "belt", "tyre", "horn"], ["oil", "tyre", "lamp", "belt"])

    assert [(s.kind, s.item, s.after, s.walked_after) for s in edits.steps] == [
        (EditKind.MOVED, "tyre", "belt", "oil"),
        (EditKind.EXTRA, "lamp", None, "tyre"),
        (EditKind.MISSING, "horn", "tyre", None),
    ]
    assert edits.distance == 4


@settings(deadline=None, max_examples=60)
@given(ORDERS, ORDERS)
def test_the_steps_make_the_walk_right(expected: list[int], walked: list[int]) -> None:
    """As many steps as the distance says (a move counts twice), and what is left
    after them are the items that were expected."""
    edits = edit_steps(expected, walked)
    kinds = Counter(step.kind for step in edits.steps)

    assert redone(edits, expected, walked) == sorted(expected)
    assert edits.distance == (
        kinds[EditKind.MISSING] + kinds[EditKind.EXTRA] + 2 * kinds[EditKind.MOVED]
    )
    assert edits.levenshtein <= edits.distance <= 2 * edits.levenshtein


@settings(deadline=None, max_examples=60)
@given(ORDERS, ORDERS)
def test_the_distance_is_what_lies_outside_the_common_subsequence(
    expected: list[int], walked: list[int]
) -> None:
    """Against the table of Wagner & Fischer, worked out here."""
    common = [[0] * (len(walked) + 1) for _ in range(len(expected) + 1)]
    for i, a in enumerate(expected):
        for j, b in enumerate(walked):
            longest = max(common[i][j + 1], common[i + 1][j])
            common[i + 1][j + 1] = common[i][j] + 1 if a == b else longest
    outside = len(expected) + len(walked) - 2 * common[-1][-1]

    assert edit_steps(expected, walked).distance == outside


@settings(deadline=None, max_examples=60)
@given(ORDERS)
def test_the_same_order_needs_no_step(order: list[int]) -> None:
    """Nothing to name."""
    assert edit_steps(order, order).steps == ()
