"""Decodes and the digit network put together into one posterior."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.speech.network.digit_words import WORDS
from voicecheck.speech.numbers.evidence import gather
from voicecheck.speech.numbers.strings import Words, is_number
from voicecheck.speech.numbers.weighing import load_number_weights

SAID: Words = ("four", "five", "zero")
NOTHING: Words = ()


def logs_of(words: Words, sureness: float = 0.99) -> np.ndarray:
    """What a network says that hears these words, one every 200 ms."""
    steps = 10 * len(words) + 10
    rest = (1 - sureness) / len(WORDS)
    shares = np.full((steps, 1 + len(WORDS)), rest)
    shares[:, 0] = sureness
    for place, word in enumerate(words):
        at = 10 * place + 5
        shares[at] = rest
        shares[at, 1 + WORDS.index(word)] = sureness
    return np.log(shares).astype(np.float32)


NOTHING_HEARD = logs_of(NOTHING, 0.999)


@pytest.mark.parametrize("noisy", [False, True])
def test_what_all_agree_on_is_likely(noisy: bool) -> None:
    """Three decodes and the network: one number."""
    evidence = gather(logs_of(SAID, 0.999), [SAID] * 3, noisy=noisy)

    posterior = load_number_weights().posterior(evidence)

    assert max(posterior, key=lambda w: posterior[w]) == SAID
    assert posterior[SAID] > 0.9


def test_a_number_that_no_decode_found_whole_can_be_the_likeliest() -> None:
    """Each decode has another word wrong; the network has none."""
    decodes = [
        ("four", "eight", "five", "zero"),
        ("four", "five", "two"),
        ("nine", "five", "zero"),
    ]

    evidence = gather(logs_of(SAID, 0.97), decodes, noisy=True)
    posterior = load_number_weights().posterior(evidence)

    assert max(posterior, key=lambda w: posterior[w]) == SAID


def test_sound_without_any_number_is_none() -> None:
    """No decode and no network finds one: nothing is a candidate."""
    evidence = gather(NOTHING_HEARD, [NOTHING] * 3, noisy=True)

    assert load_number_weights().posterior(evidence) == {}


def test_one_decode_alone_is_not_believed_against_the_network() -> None:
    """Noise that one decode hears as a digit, and the network as nothing."""
    evidence = gather(NOTHING_HEARD, [("eight",), NOTHING, NOTHING], noisy=True)
    posterior = load_number_weights().posterior(evidence)

    assert sum(posterior.values()) < 0.44  # read back from there on: costs.toml


@settings(deadline=None, max_examples=25)
@given(
    seed=st.integers(0, 9_999),
    decodes=st.lists(
        st.lists(st.sampled_from(WORDS), max_size=5).map(tuple), min_size=3, max_size=3
    ),
    noisy=st.booleans(),
)
def test_it_is_a_probability(seed: int, decodes: list[Words], noisy: bool) -> None:
    """Whatever is found: shares of numbers, together at most 1."""
    rng = np.random.default_rng(seed)
    logs = np.log(rng.dirichlet(np.ones(1 + len(WORDS)), 40)).astype(np.float32)
    found = [d if is_number(d) else NOTHING for d in decodes]

    posterior = load_number_weights().posterior(gather(logs, found, noisy=noisy))

    assert all(is_number(words) for words in posterior)
    assert all(share >= 0 for share in posterior.values())
    assert sum(posterior.values()) <= 1 + 1e-9
