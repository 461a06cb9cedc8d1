"""Classes by frequency with their cumulative share."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.statistics.pareto import pareto


def test_a_small_table_by_hand() -> None:
    """Arithmetic: 5, 3 and 2 of ten; equal ones by name."""
    rows = pareto([*"bbbbb", *"aaa", *"dc"])

    assert [(r.name, r.count) for r in rows] == [
        ("b", 5),
        ("a", 3),
        ("c", 1),
        ("d", 1),
    ]
    assert [r.cumulative for r in rows] == pytest.approx([0.5, 0.8, 0.9, 1.0])


@given(st.lists(st.sampled_from("abcdef")))
def test_nothing_is_lost_and_the_shares_are_those_of_numpy(names: list[str]) -> None:
    """Counts add up, fall, and their cumulative sum ends at one."""
    rows = pareto(names)

    counts = [row.count for row in rows]
    assert Counter({row.name: row.count for row in rows}) == Counter(names)
    assert counts == sorted(counts, reverse=True)
    if names:
        shares = np.cumsum(counts) / len(names)
        assert [row.cumulative for row in rows] == pytest.approx(list(shares))
