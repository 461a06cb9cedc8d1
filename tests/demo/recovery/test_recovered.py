"""Summing figures of many seeds up."""

from __future__ import annotations

import pytest

from voicecheck.demo.recovery.recovered import Figure, recover
from voicecheck.demo.recovery.table import HEAD, document, rows
from voicecheck.demo.recovery.trainee import Weaknesses
from voicecheck.statistics.interval import Interval
from voicecheck.statistics.proportions import wilson


def figure(
    value: float | None, interval: Interval | None = None, **changed: object
) -> Figure:
    """Return a figure of the truth 1."""
    return Figure(
        **{
            "name": "f",
            "truth": 1.0,
            "value": value,
            "interval": interval,
            **changed,
        }  # type: ignore[arg-type]
    )


AROUND = Interval(low=0.5, high=1.5)
BESIDE = Interval(low=1.1, high=1.5)


def test_mean_and_coverage_by_hand() -> None:
    """Three of four were told, two of three intervals hold the truth."""
    seeds = [
        figure(0.8, AROUND),
        figure(1.2, AROUND),
        figure(1.3, BESIDE),
        figure(None),
    ]
    (found,) = recover([[one] for one in seeds])

    assert (found.seeds, found.told, found.held, found.with_interval) == (4, 3, 2, 3)
    assert found.middle == pytest.approx(1.1)
    assert found.coverage == pytest.approx(2 / 3)
    assert found.coverage_interval == wilson(2, 3)
    assert found.width == pytest.approx((1 + 1 + 0.4) / 3)


def test_factors_have_a_geometric_mean() -> None:
    """Half and twice are as far from one."""
    (found,) = recover([[figure(0.5, factor=True)], [figure(2.0, factor=True)]])

    assert found.middle == pytest.approx(1.0)
    assert (found.coverage, found.coverage_interval) == (None, None)


def test_nothing_told_has_no_middle() -> None:
    """None, not 0; and the row says so."""
    (found,) = recover([[figure(None)]])

    assert (found.middle, found.width) == (None, None)
    (row,) = rows([found])
    assert row == ("f", "1.00", "–", "0", "a walk has none")
    assert len(row) == len(HEAD)


def test_one_figure_has_one_truth() -> None:
    """Or the seeds would not be alike."""
    with pytest.raises(ValueError, match="2 truths"):
        recover([[figure(1.0)], [figure(1.0, truth=2.0)]])


def test_the_document_names_what_was_put_in() -> None:
    """So that a reader can judge the figures."""
    found = recover([[figure(1.0, AROUND)]])
    made = document("learn", Weaknesses(), found, 7, {"more": 1})

    assert made["put_in"]["d_prime"] == Weaknesses().d_prime
    assert made["figures"][0]["coverage"] == 1.0
    assert (made["kind"], made["first_seed"], made["more"]) == ("learn", 7, 1)
