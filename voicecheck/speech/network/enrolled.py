"""An operator's own voice: the last layer fitted anew to a few examples.

Pooled features of the network plus multinomial logistic regression. The fit
starts from the shipped last layer and is pulled back to it (a Gaussian prior
on the difference, i.e. maximum a posteriori), so that words without examples
keep working and three examples a word do not overfit. Words of a site that
the shipped network never met start from nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.mixing import guard_peak, mix_at_snr
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.speech.network.model import NOISE, OTHER, WordNetwork

__all__ = ["ENROLMENT_NOISES", "EnrolledHead", "fit_head", "fit_rows", "in_noises"]

Matrix = NDArray[np.float64]

ENROLMENT_NOISES = (
    (NoiseKind.QUIET, 35.0),
    (NoiseKind.PINK, 15.0),
    (NoiseKind.PINK, 5.0),
    (NoiseKind.IDLE, 8.0),
    (NoiseKind.IDLE, 0.0),
    (NoiseKind.ALARM, 2.0),
    (NoiseKind.WIND, 2.0),
    (NoiseKind.CRUSHER, 5.0),
    (NoiseKind.BABBLE, 12.0),
    (NoiseKind.BABBLE, 5.0),
)
"""Noise and ratio (dB) that each example is heard in while fitting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EnrolledHead:
    """A last layer of one operator."""

    labels: tuple[str, ...]
    """Phrases, then OTHER and NOISE."""
    weight: Matrix
    """Shape (labels, width + 1); the last column is the bias."""

    def posteriors(self, embedding: NDArray[np.float32]) -> dict[str, float]:
        """Return the probability of each label, given pooled features."""
        scores = self.weight @ np.append(embedding.astype(np.float64), 1.0)
        shares = np.exp(scores - scores.max())
        return dict(zip(self.labels, (shares / shares.sum()).tolist(), strict=True))


def in_noises(word: Frames, rng: np.random.Generator) -> list[Frames]:
    """Put one clean example into each enrolment noise, with room around it."""
    made = []
    for kind, snr_db in ENROLMENT_NOISES:
        lead = int(rng.uniform(0.2, 0.5) * RATE_HZ)
        tail = int(rng.uniform(0.4, 0.8) * RATE_HZ)
        clip = np.concatenate(
            [np.zeros(lead, np.float32), word, np.zeros(tail, np.float32)]
        )
        made.append(guard_peak(mix_at_snr(clip, noise(kind, clip.size, rng), snr_db)))
    return made


def fit_head(
    network: WordNetwork,
    examples: Mapping[str, Sequence[Frames]],
    background: Mapping[str, NDArray[np.float32]],
    *,
    seed: int = 0,
    pull: float = 0.02,
    rounds: int = 400,
) -> EnrolledHead:
    """Fit a last layer to spoken examples.

    Args:
        network: gives the features and the starting point.
        examples: clean clips for each phrase, trimmed to the word.
        background: features of other speech (OTHER) and of noise (NOISE),
            shape (n, width) each, so that the new layer still refuses.
        seed: of the noises that the examples are heard in.
        pull: strength of the prior that keeps the layer near the shipped one.
        rounds: gradient steps (Adam, Kingma and Ba 2015).

    Raises:
        ValueError: there are no examples.
    """
    if not examples:
        raise ValueError("say at least one phrase to enrol")
    rng = np.random.default_rng(seed)
    labels = (*sorted(examples), OTHER, NOISE)
    rows: list[NDArray[np.float32]] = []
    targets: list[int] = []
    for index, phrase in enumerate(labels[:-2]):
        for word in examples[phrase]:
            rows.extend(network.embedding(clip) for clip in in_noises(word, rng))
            targets.extend([index] * len(ENROLMENT_NOISES))
    counts = [len(rows)]
    for offset, label in enumerate((OTHER, NOISE)):
        rows.extend(background[label])
        targets.extend([len(labels) - 2 + offset] * len(background[label]))
        counts.append(len(background[label]))
    return fit_rows(
        network, labels, np.stack(rows), np.array(targets), pull=pull, rounds=rounds
    )


def fit_rows(
    network: WordNetwork,
    labels: tuple[str, ...],
    rows: NDArray[np.float32],
    targets: NDArray[np.int64],
    *,
    pull: float = 0.02,
    rounds: int = 400,
) -> EnrolledHead:
    """Fit a last layer to pooled features that are there already.

    Args:
        network: gives the starting point.
        labels: the classes; those that the network has not start from nothing.
        rows: pooled features, shape (n, width), n >= 1.
        targets: index of the class of each row, shape (n,).
        pull: strength of the prior that keeps the layer near the shipped one.
        rounds: gradient steps (Adam, Kingma and Ba 2015).
    """
    features = np.column_stack([rows, np.ones(len(rows))]).astype(np.float32)
    start = _shipped_rows(network, labels).astype(np.float32)
    weight = _descend(features, targets, start, pull, rounds)
    return EnrolledHead(labels=labels, weight=weight.astype(np.float64))


def _shipped_rows(network: WordNetwork, labels: tuple[str, ...]) -> Matrix:
    """Rows of the shipped last layer, zero for words that it has not."""
    layer = np.column_stack(
        [network.arrays["last.weight"], network.arrays["last.bias"]]
    )
    rows = np.zeros((len(labels), layer.shape[1]))
    for index, label in enumerate(labels):
        if label in network.labels:
            rows[index] = layer[network.labels.index(label)]
    return rows / network.temperature


def _descend(
    features: NDArray[np.float32],
    targets: NDArray[np.int64],
    start: NDArray[np.float32],
    pull: float,
    rounds: int,
) -> NDArray[np.float32]:
    """Minimise cross-entropy plus pull * squared distance from the start."""
    weight = start.copy()
    first, second = np.zeros_like(weight), np.zeros_like(weight)
    wanted = np.eye(len(start), dtype=np.float32)[targets]
    for step in range(1, rounds + 1):
        scores = features @ weight.T
        shares = np.exp(scores - scores.max(axis=1, keepdims=True))
        shares /= shares.sum(axis=1, keepdims=True)
        slope = (shares - wanted).T @ features / len(features)
        slope += 2 * pull * (weight - start)
        first = 0.9 * first + 0.1 * slope
        second = 0.99 * second + 0.01 * slope**2
        size = 0.01 * min(1.0, 4 * (1 - step / (rounds + 1)))
        weight -= (
            size
            * (first / (1 - 0.9**step))
            / (np.sqrt(second / (1 - 0.99**step)) + 1e-8)
        )
    return weight
