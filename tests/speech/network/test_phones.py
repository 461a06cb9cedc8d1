"""Phones along an utterance: connectionist temporal classification."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.speech.network.phones import (
    BLANK,
    SYMBOLS,
    best_path,
    free_score,
    path_scores,
)

STEPS = 5


def shares(seed: int, steps: int = STEPS) -> np.ndarray:
    """Random log probabilities of all symbols at each step."""
    rng = np.random.default_rng(seed)
    return np.log(rng.dirichlet(np.ones(len(SYMBOLS)), steps)).astype(np.float32)


def by_counting(log_phones: np.ndarray, phones: tuple[str, ...]) -> float:
    """Sum over every path that collapses to the phones, one by one.

    Source: Graves et al. 2006, equation 3: drop repeats, then blanks.
    """
    wanted = [SYMBOLS.index(p) for p in phones]
    total = -np.inf
    for path in itertools.product({BLANK, *wanted}, repeat=len(log_phones)):
        kept = [symbol for symbol, _ in itertools.groupby(path)]
        if [symbol for symbol in kept if symbol != BLANK] == wanted:
            each = sum(float(log_phones[t, s]) for t, s in enumerate(path))
            total = np.logaddexp(total, each)
    return float(total)


@settings(deadline=None, max_examples=30)
@given(
    seed=st.integers(0, 10_000),
    phones=st.lists(st.sampled_from(["L", "IY", "K"]), min_size=1, max_size=3),
)
def test_the_sum_over_paths_is_the_sum_over_paths(seed: int, phones: list[str]) -> None:
    """The forward pass equals counting out all paths, repeated phones included."""
    log_phones = shares(seed)
    expected = by_counting(log_phones, tuple(phones))
    found = path_scores(log_phones, [phones, ["N", "OW"]])
    if np.isinf(expected):
        assert found[0] < -1e8
    else:
        assert found[0] == pytest.approx(expected, abs=1e-4)
    assert found[1] == pytest.approx(by_counting(log_phones, ("N", "OW")), abs=1e-4)


def test_what_does_not_fit_is_never_found() -> None:
    """Two steps cannot hold three phones."""
    assert path_scores(shares(1, 2), [("G", "UH", "D")])[0] < -1e8


def test_no_pronunciation_beats_the_best_path_of_a_clear_utterance() -> None:
    """Sure phones: the word said explains the sound, another does not."""
    said = [0, SYMBOLS.index("N"), 0, SYMBOLS.index("OW"), SYMBOLS.index("OW")]
    log_phones = np.full((5, len(SYMBOLS)), np.log(0.01), np.float32)
    log_phones[np.arange(5), said] = np.log(0.61)
    right, wrong = path_scores(log_phones, [("N", "OW"), ("Y", "EH", "S")])
    assert best_path(log_phones) == ("N", "OW")
    assert right >= free_score(log_phones)
    assert wrong < right - 5


def test_unknown_symbols_are_an_error() -> None:
    """A pronunciation must be ARPAbet without stress."""
    with pytest.raises(KeyError):
        path_scores(shares(1), [("OW1",)])
