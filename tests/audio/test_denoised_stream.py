"""A stream without its noise, block by block."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import firwin

from voicecheck.audio.denoised_stream import DenoisedStream, low_pass
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.ports import BLOCK
from voicecheck.audio.suppression import suppress
from voicecheck.bench.voices.bundled import Bundled

LATE = (960 + 477 + 72) // 3
"""RNNoise's 20 ms, a frame of 10 ms but one sample, and two filters of 0.75 ms."""


@pytest.fixture(scope="module")
def noisy() -> Frames:
    """A spoken word in faint noise, shape (n * BLOCK,)."""
    source = Bundled()
    word = source.say(source.voices()[0], "park brake")
    assert word is not None
    sound = np.pad(word, RATE_HZ // 2)
    sound = sound[: len(sound) // BLOCK * BLOCK]
    hiss = np.random.default_rng(1).normal(0, 0.01, len(sound))
    return np.asarray(sound + hiss, np.float32)


def pushed(sound: Frames, sizes: list[int]) -> Frames:
    """Send the sound in pieces of these sizes, over and over."""
    stream, out, at = DenoisedStream(), [], 0
    while at < len(sound):
        size = sizes[len(out) % len(sizes)]
        out.append(stream.push(sound[at : at + size]))
        at += size
    return np.concatenate(out)


def test_it_gives_what_suppression_gives_a_block_later(noisy: Frames) -> None:
    """The same sound as through the library's resampler, but for the lag."""
    stream = pushed(noisy, [BLOCK])
    whole = suppress(noisy)[: len(noisy) - LATE]

    assert np.corrcoef(stream[LATE:], whole)[0, 1] > 0.99


@settings(max_examples=10, deadline=None)
@given(sizes=st.lists(st.integers(1, 2_000), min_size=1, max_size=5))
def test_how_it_is_cut_into_blocks_does_not_matter(sizes: list[int]) -> None:
    """Each piece comes back in its length, and together they are the same sound."""
    sound = np.random.default_rng(2).normal(0, 0.1, 6_000).astype(np.float32)

    assert pushed(sound, sizes) == pytest.approx(pushed(sound, [BLOCK]), abs=1e-6)


def test_a_reset_stream_knows_nothing_of_before(noisy: Frames) -> None:
    """What came before leaves no trace."""
    stream = DenoisedStream()
    first = [stream.push(block) for block in noisy.reshape(-1, BLOCK)]
    stream.reset()

    again = [stream.push(block) for block in noisy.reshape(-1, BLOCK)]

    assert np.array_equal(np.concatenate(again), np.concatenate(first))


@given(half=st.integers(3, 60), share=st.floats(0.02, 0.48))
def test_the_filter_is_that_of_scipy(half: int, share: float) -> None:
    """Against `scipy.signal.firwin`, whose window is Hamming as well."""
    taps = 2 * half + 1

    assert low_pass(taps, share) == pytest.approx(
        firwin(taps, share, fs=1.0), abs=1e-12
    )
