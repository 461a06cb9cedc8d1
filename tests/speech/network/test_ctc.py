"""Sums over alignments, beyond what `test_phones` shows."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.speech.network.ctc import best_sequence, sequence_scores


def test_all_sequences_together_are_certain() -> None:
    """Three steps of two symbols: every sequence that can be, silence included."""
    rng = np.random.default_rng(1)
    logs = np.log(rng.dirichlet(np.ones(3), 3)).astype(np.float32)
    sequences = [()]
    for _ in range(3):
        sequences += [(*s, i) for s in sequences for i in (1, 2)]
    every = sorted(set(sequences))

    scores = sequence_scores(logs, every)

    assert np.exp(scores).sum() == pytest.approx(1.0, abs=1e-5)


def test_silence_alone_is_blank_throughout() -> None:
    """The empty sequence has one way."""
    logs = np.log([[0.5, 0.5], [0.25, 0.75]]).astype(np.float32)

    assert sequence_scores(logs, [()])[0] == pytest.approx(np.log(0.125), abs=1e-6)


def test_the_best_path_keeps_repeats_that_a_blank_parts() -> None:
    """Symbols 1 1 0 1 0 2 2 are 1, 1, 2."""
    logs = np.log(np.eye(3)[[1, 1, 0, 1, 0, 2, 2]] * 0.9 + 0.03).astype(np.float32)

    assert best_sequence(logs) == (1, 1, 2)
