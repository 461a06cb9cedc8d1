"""Intervals of shares, against a paper's own figures."""

from __future__ import annotations

import pytest

from voicecheck.bench.proportion import wilson_interval


@pytest.mark.parametrize(
    ("count", "trials", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_published_intervals(count: int, trials: int, low: float, high: float) -> None:
    """The four cases of Newcombe 1998, Stat. Med. 17:857-872, method 3."""
    assert wilson_interval(count, trials) == pytest.approx((low, high), abs=5e-5)


def test_none_of_none_says_nothing() -> None:
    """Without trials the share may be anything."""
    assert wilson_interval(0, 0) == (0.0, 1.0)


def test_all_ends_at_one() -> None:
    """Rounding does not leave the range."""
    assert wilson_interval(30, 30)[1] == 1.0


def test_more_than_all_is_refused() -> None:
    """A share above one is a mistake of the caller."""
    with pytest.raises(ValueError, match="no share"):
        wilson_interval(3, 2)
