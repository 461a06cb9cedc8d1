"""Weights of what speaks for a number, fitted on made-up trials."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.bench.training.fit_numbers import fit, summary
from voicecheck.bench.training.number_trials import HeardNumber
from voicecheck.speech.network.digit_words import WORDS
from voicecheck.speech.numbers.evidence import gather
from voicecheck.speech.numbers.strings import Words

DIGITS = WORDS[:10]


def spelled(words: Words, sureness: float) -> np.ndarray:
    """What a network says that hears these words so surely."""
    rest = (1 - sureness) / len(WORDS)
    shares = np.full((10 * len(words) + 10, 1 + len(WORDS)), rest)
    shares[:, 0] = sureness
    for place, word in enumerate(words):
        shares[10 * place + 5] = rest
        shares[10 * place + 5, 1 + WORDS.index(word)] = sureness
    return np.log(shares).astype(np.float32)


def trial(rng: np.random.Generator) -> HeardNumber:
    """A number whose decodes are each wrong half of the time, or other speech."""
    said: Words = tuple(rng.choice(DIGITS, 3).tolist())
    if rng.uniform() < 0.25:
        said = ()
    decodes: list[Words] = []
    for _ in range(3):
        words = list(said)
        if rng.uniform() < 0.5:
            words.insert(int(rng.integers(len(words) + 1)), str(rng.choice(DIGITS)))
        decodes.append(tuple(words))
    evidence = gather(spelled(said, 0.98), decodes, noisy=bool(rng.integers(2)))
    return HeardNumber(evidence=evidence, said=said, snr_db=0.0, voice="made up")


def test_fitted_weights_find_numbers_that_no_majority_found() -> None:
    """Nearly all, on trials that they were not fitted on; little other speech."""
    rng = np.random.default_rng(1)
    weights = fit([trial(rng) for _ in range(120)], "made up")
    judged = [trial(rng) for _ in range(80)]

    right = taken = 0
    for heard in judged:
        posterior = weights.posterior(heard.evidence)
        best = max(posterior, key=lambda words: posterior[words], default=())
        right += bool(heard.said) and best == heard.said
        taken += not heard.said and sum(posterior.values()) > 0.5
    numbers = sum(bool(heard.said) for heard in judged)

    assert right / numbers > 0.95
    assert taken / (len(judged) - numbers) < 0.2
    assert summary(weights, judged).startswith(f"{numbers} numbers: likeliest right")
    assert weights.provenance == "made up"


def test_what_was_not_among_the_candidates_counts_as_none() -> None:
    """The number said lies two words away from all that was found."""
    far: Words = ("one", "one", "one", "one")
    evidence = gather(spelled(("two",), 0.98), [("two",)] * 3, noisy=False)
    heard = HeardNumber(evidence=evidence, said=far, snr_db=0.0, voice="made up")

    weights = fit([heard] * 20)

    posterior = weights.posterior(evidence)
    assert far not in posterior
    assert sum(posterior.values()) == pytest.approx(0.0, abs=0.2)
