"""The weights that come with the package."""

from __future__ import annotations

import numpy as np

from voicecheck.audio.frames import RATE_HZ
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.bench.corpus import JUDGING
from voicecheck.bench.phrases import ELEVEN, missing_from
from voicecheck.speech.network.model import NOISE, WordNetwork, shipped_weights


def test_shipped_network_fits_the_phrase_list() -> None:
    """It loads, stays below 5 MB, and has a class for each phrase listed."""
    network = WordNetwork.load()
    assert shipped_weights().stat().st_size < 5_000_000
    assert missing_from(network.phrases) == ()
    assert set(ELEVEN) <= set(network.phrases)
    assert (
        network.background[NOISE].shape[1]
        == network.embedding(np.zeros(RATE_HZ, np.float32)).size
    )


def test_shipped_network_never_heard_the_judging_voices() -> None:
    """No judging family is among those it was trained or tuned on."""
    provenance = WordNetwork.load().provenance
    heard = {str(provenance["families"]), str(provenance["tuned_on"])}
    assert not any(family.value in text for family in JUDGING for text in heard)


def test_noise_alone_is_not_accepted() -> None:
    """Steady noise and silence stay below the acceptance level.

    PocketSphinx heard quiet noise as "good" with full confidence; this is the
    same trial for the network.
    """
    network = WordNetwork.load()
    accept = float(str(network.provenance["accept"]))
    active = frozenset({"good", "defect", "leak"})
    rng = np.random.default_rng(17)
    sounds = [noise(kind, 2 * RATE_HZ, rng) for kind in NoiseKind] * 2
    sounds += [np.zeros(2 * RATE_HZ, np.float32)]
    for sound in sounds:
        found = network.posteriors(sound * np.float32(20 / 32768), active)
        assert max(found[w] for w in active) < accept
