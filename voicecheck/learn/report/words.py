"""The words of progress views, by language."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from voicecheck.report.labels_file import FALLBACK, Labels

if TYPE_CHECKING:
    from voicecheck.statistics.interval import Interval
    from voicecheck.statistics.proportions import Share


@cache
def words(language: str) -> Labels:
    """Return the words of a language; of English when it has none."""
    folder = files(__package__).joinpath("labels")
    file = folder.joinpath(f"{language}.toml")
    if not file.is_file():
        file = folder.joinpath(f"{FALLBACK}.toml")
    return tomllib.loads(file.read_text("utf-8"))


def share_words(one: Share) -> str:
    """Return a share with its interval: 12 of 20 = 60 % (39 … 78 %)."""
    if one.value is None:
        return "–"
    low, high = one.interval.low, one.interval.high
    return f"{one.count}/{one.of} = {one.value:.0%} ({low:.0%} … {high:.0%})"


def figure_words(value: float, interval: Interval | None) -> str:
    """Return a figure with its interval: 1.23 (0.80 … 1.66)."""
    if interval is None:
        return f"{value:.2f}"
    return f"{value:.2f} ({interval.low:.2f} … {interval.high:.2f})"
