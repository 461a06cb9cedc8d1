"""All that enrolment asks of the network: change this when the network changes."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.speech.network.features import log_mel
from voicecheck.speech.network.model import NOISE, OTHER, WordNetwork

__all__ = [
    "background_rows",
    "fingerprint",
    "spectrum_of",
    "word_vector",
]

_SHORTEST = 800
"""Samples that the network needs at least: 50 ms."""


def fingerprint(network: WordNetwork) -> str:
    """Return a name of the network's weights: 16 hexadecimal digits.

    A profile fits the network that it was fitted with and no other.
    """
    digest = hashlib.sha256(network.fingerprint.encode())
    for name in sorted(network.arrays):
        digest.update(name.encode())
        digest.update(np.ascontiguousarray(network.arrays[name]).tobytes())
    digest.update("\n".join(network.labels).encode())
    digest.update(f"{network.temperature:.6f}".encode())
    return digest.hexdigest()[:16]


def word_vector(network: WordNetwork, frames: Frames) -> NDArray[np.float32]:
    """Return the pooled features of an utterance, shape (width,)."""
    if frames.size < _SHORTEST:
        frames = np.pad(frames, (0, _SHORTEST - frames.size))
    return network.embedding(frames)


def background_rows(network: WordNetwork) -> dict[str, NDArray[np.float32]]:
    """Return pooled features of other speech (OTHER) and of noise (NOISE).

    Raises:
        ModelError: the network came without them.
    """
    return {name: network.background[name] for name in (OTHER, NOISE)}


def spectrum_of(frames: Frames) -> NDArray[np.float64]:
    """Return log-mel frames, shape (bands, time), level removed."""
    if frames.size < _SHORTEST:
        frames = np.pad(frames, (0, _SHORTEST - frames.size))
    return np.asarray(log_mel(frames), dtype=np.float64)
