"""The small network at work: NumPy alone, weights from one file.

Why NumPy: the network has about 0.3 million weights; a clip of two seconds
takes a few milliseconds, so a run-time library would add a dependency and
start-up time and win nothing that can be heard.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.errors import ModelError
from voicecheck.speech.network.features import log_mel

__all__ = ["NOISE", "OTHER", "WordNetwork", "shipped_weights"]

OTHER = "<other>"
"""Class of speech that is none of our phrases."""

NOISE = "<noise>"
"""Class of sound without speech."""

Array = NDArray[np.float32]


def shipped_weights() -> Path:
    """Return the weights file that comes with the package."""
    return Path(__file__).parent / "weights" / "en.npz"


@dataclass(frozen=True)
class WordNetwork:
    """A loaded network.

    Load it with `WordNetwork.load`; the provenance lies beside the weights as
    JSON with the same stem.
    """

    labels: tuple[str, ...]
    """Class of each output: phrases, then OTHER and NOISE."""
    temperature: float
    """Divides the logits, so that posteriors are calibrated."""
    arrays: dict[str, Array]
    """Weights by name, batch norms folded in."""
    provenance: dict[str, object]
    """How the weights came to be."""
    path: Path | None = None
    """Where it was loaded from."""

    @classmethod
    def load(cls, path: Path | None = None) -> WordNetwork:
        """Read weights and provenance.

        Args:
            path: the .npz file; the shipped one when None.

        Raises:
            ModelError: a file is missing, or they do not fit together.
        """
        path = shipped_weights() if path is None else path
        try:
            provenance = json.loads(path.with_suffix(".json").read_text("utf-8"))
            with np.load(path, allow_pickle=False) as archive:
                arrays = {name: archive[name] for name in archive.files}
        except (OSError, ValueError) as problem:
            raise ModelError(
                f"cannot read the network in {path}: {problem}. "
                "Install voicecheck again, or train the network anew."
            ) from problem
        labels = tuple(provenance["labels"])
        if arrays["last.bias"].shape != (len(labels),):
            raise ModelError(
                f"{path} and its .json name different numbers of classes. "
                "Take both files from one training run."
            )
        return cls(
            labels=labels,
            temperature=float(provenance["temperature"]),
            arrays=arrays,
            provenance=provenance,
            path=path,
        )

    @cached_property
    def priors(self) -> tuple[float, float]:
        """Weights of other speech and noise, and of phrases not asked for now.

        Training met those classes more often than a walk does; the weights
        were fitted on voices that were held out for it.
        """
        found = self.provenance.get("priors")
        if not isinstance(found, dict):
            return 1.0, 1.0
        return float(found["other"]), float(found["inactive"])

    @cached_property
    def phrases(self) -> tuple[str, ...]:
        """The phrases it knows, without OTHER and NOISE."""
        return tuple(w for w in self.labels if w not in (OTHER, NOISE))

    @cached_property
    def background(self) -> dict[str, Array]:
        """Features of other speech and of noise, from the file beside the weights.

        Raises:
            ModelError: the network came without such a file.
        """
        if self.path is None:
            raise ModelError("this network was not loaded from a file")
        path = self.path.with_name(self.path.stem + "_background.npz")
        try:
            with np.load(path, allow_pickle=False) as archive:
                return {n: archive[n].astype(np.float32) for n in archive.files}
        except (OSError, ValueError) as problem:
            raise ModelError(
                f"cannot read {path}: {problem}. Enrolment needs it; "
                "install voicecheck again, or finish the training."
            ) from problem

    def embedding(self, frames: Frames) -> Array:
        """Return pooled features of a clip, shape (2 * width,).

        Raises:
            ValueError: the clip is shorter than one window (25 ms).
        """
        x = _first_layer(log_mel(frames), self.arrays)
        halved_after = int(self.arrays["halved_after"].item())
        for index, dilation in enumerate(self.arrays["dilations"]):
            if index == halved_after:
                even = x.shape[1] // 2 * 2
                x = 0.5 * (x[:, 0:even:2] + x[:, 1:even:2])
            x = _block(x, index, int(dilation), self.arrays)
        return np.concatenate([x.mean(axis=1), x.max(axis=1)])

    def logits(self, frames: Frames) -> Array:
        """Return one number for each label, before the softmax."""
        pooled = self.embedding(frames)
        return np.asarray(
            self.arrays["last.weight"] @ pooled + self.arrays["last.bias"]
        )

    def posteriors(
        self, frames: Frames, active: frozenset[str] | None = None
    ) -> dict[str, float]:
        """Return the probability of each phrase, OTHER and NOISE; they sum to 1.

        Args:
            frames: float32 mono 16 kHz: the word with some tenths of a second
                of the real background around it.
            active: the phrases that may be said now. Probability of a phrase
                that may not be said now counts as OTHER (weighed by
                `priors`); so a clear word of another question is refused
                instead of being bent to one of the allowed.
        """
        scaled = self.logits(frames).astype(np.float64) / self.temperature
        weights = np.exp(scaled - scaled.max())
        shares = weights / weights.sum()
        found = dict(zip(self.labels, shares.tolist(), strict=True))
        if active is None:
            return found
        other, inactive = self.priors
        kept = {w: p for w, p in found.items() if w in active}
        idle = sum(p for w, p in found.items() if w in self.phrases and w not in active)
        kept[OTHER] = other * found[OTHER] + inactive * idle
        kept[NOISE] = other * found[NOISE]
        total = sum(kept.values())
        return {w: p / total for w, p in kept.items()}


def _first_layer(mel: Array, arrays: dict[str, Array]) -> Array:
    """3 x 3 convolution with frequency step 2, then all channels mixed."""
    kernel = arrays["first.weight"][:, 0]
    padded = np.pad(mel, 1)
    views = np.lib.stride_tricks.sliding_window_view(padded, (3, 3))[::2]
    channels, bands, steps = kernel.shape[0], views.shape[0], views.shape[1]
    patches = views.reshape(bands * steps, 9)
    x = (patches @ kernel.reshape(channels, 9).T).T.reshape(channels, bands, steps)
    x = np.maximum(x + arrays["first.bias"][:, None, None], 0)
    mixed = arrays["mix.weight"][:, :, 0] @ x.reshape(channels * bands, steps)
    mixed += arrays["mix.bias"][:, None]
    return np.asarray(np.maximum(mixed, 0), dtype=np.float32)


def _block(x: Array, index: int, dilation: int, arrays: dict[str, Array]) -> Array:
    """Depthwise over time, pointwise over channels, residual."""
    kernel = arrays[f"block{index}.depthwise.weight"][:, 0]
    taps = kernel.shape[1]
    reach = dilation * (taps // 2)
    padded = np.pad(x, ((0, 0), (reach, reach)))
    y = np.repeat(arrays[f"block{index}.depthwise.bias"][:, None], x.shape[1], axis=1)
    for tap in range(taps):
        start = tap * dilation
        y += kernel[:, tap, None] * padded[:, start : start + x.shape[1]]
    np.maximum(y, 0, out=y)
    z = arrays[f"block{index}.pointwise.weight"][:, :, 0] @ y
    total: Array = x + z + arrays[f"block{index}.pointwise.bias"][:, None]
    return np.maximum(total, 0)
