"""The small network at work, in ONNX Runtime.

Three files with one stem: the body (.onnx), what it was made of (.json), and
the last layer with features of other speech and of noise (_head.npz). The last
layer stays outside the body, because an enrolled operator has one of their own.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.errors import ModelError
from voicecheck.speech.network.features import log_mel

__all__ = [
    "NOISE",
    "OTHER",
    "Impression",
    "WordNetwork",
    "one_core_session",
    "shipped_weights",
]

OTHER = "<other>"
"""Class of speech that is none of our phrases."""

NOISE = "<noise>"
"""Class of sound without speech."""

Array = NDArray[np.float32]


def shipped_weights() -> Path:
    """Return the body of the network that comes with the package."""
    return Path(__file__).parent / "weights" / "en.onnx"


@dataclass(frozen=True, slots=True, kw_only=True)
class Impression:
    """What the network makes of one clip."""

    pooled: Array
    """Features of the whole clip, shape (2 * width,)."""
    log_phones: Array
    """Log probability of `phones.SYMBOLS` every 20 ms, shape (time, symbols)."""


@dataclass(frozen=True)
class WordNetwork:
    """A loaded network; see `WordNetwork.load`."""

    labels: tuple[str, ...]
    """Class of each output: phrases, then OTHER and NOISE."""
    temperature: float
    """Divides the logits, so that posteriors are calibrated."""
    arrays: Mapping[str, Array]
    """The last layer, "last.weight" and "last.bias", and the background."""
    provenance: Mapping[str, object]
    """How the weights came to be."""
    session: Any
    """The body in ONNX Runtime."""
    fingerprint: str
    """Of the body; an enrolled last layer fits this body alone."""

    @classmethod
    def load(cls, path: Path | None = None) -> WordNetwork:
        """Read a network.

        Args:
            path: the .onnx file; the shipped one when None.

        Raises:
            ModelError: a file is missing, or they do not fit together.
        """
        path = shipped_weights() if path is None else path
        try:
            body = path.read_bytes()
            provenance = json.loads(path.with_suffix(".json").read_text("utf-8"))
            with np.load(_head_of(path), allow_pickle=False) as archive:
                arrays = {n: archive[n].astype(np.float32) for n in archive.files}
            session = one_core_session(body)
        except (OSError, ValueError, RuntimeError) as problem:
            raise ModelError(
                f"cannot read the network in {path}: {problem}. "
                "Install voicecheck again, or train the network anew."
            ) from problem
        labels = tuple(provenance["labels"])
        if arrays["last.bias"].shape != (len(labels),):
            raise ModelError(
                f"{path} and its .json name different numbers of classes. "
                "Take all files from one training run."
            )
        return cls(
            labels=labels,
            temperature=float(provenance["temperature"]),
            arrays=arrays,
            provenance=provenance,
            session=session,
            fingerprint=hashlib.sha256(body).hexdigest(),
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
        """Features of other speech and of noise, for fitting a new last layer.

        Raises:
            ModelError: the network came without them.
        """
        try:
            return {n: self.arrays[f"background.{n}"] for n in (OTHER, NOISE)}
        except KeyError as problem:
            raise ModelError(
                "this network has no background sounds, which enrolment needs: "
                "install voicecheck again, or finish the training"
            ) from problem

    def impression(self, frames: Frames) -> Impression:
        """Run the body over a clip.

        Raises:
            ValueError: the clip is shorter than 50 ms.
        """
        mel = log_mel(frames)
        if mel.shape[1] < _FEWEST_STEPS:
            raise ValueError("give at least 50 ms of sound")
        pooled, phones = self.session.run(["pooled", "phones"], {"mel": mel[None]})
        return Impression(pooled=pooled[0], log_phones=phones[0])

    def embedding(self, frames: Frames) -> Array:
        """Return pooled features of a clip, shape (2 * width,).

        Raises:
            ValueError: the clip is shorter than 50 ms.
        """
        return self.impression(frames).pooled

    def logits(self, pooled: Array) -> Array:
        """Return one number for each label, before the softmax."""
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
            active: the phrases that may be said now; see `shares`.
        """
        return self.shares(self.embedding(frames), active)

    def shares(
        self, pooled: Array, active: frozenset[str] | None = None
    ) -> dict[str, float]:
        """Return the probability of each phrase, OTHER and NOISE; they sum to 1.

        Args:
            pooled: of `impression`.
            active: the phrases that may be said now. Probability of a phrase
                that may not be said now counts as OTHER (weighed by
                `priors`); so a clear word of another question is refused
                instead of being bent to one of the allowed.
        """
        scaled = self.logits(pooled).astype(np.float64) / self.temperature
        weights = np.exp(scaled - scaled.max())
        shares = weights / weights.sum()
        found = dict(zip(self.labels, shares.tolist(), strict=True))
        return found if active is None else self.restricted(found, active)

    def restricted(
        self, found: Mapping[str, float], active: frozenset[str]
    ) -> dict[str, float]:
        """Count what may not be said now as other speech, weighed by `priors`.

        Args:
            found: probability of each label; they sum to 1.
            active: the phrases that may be said now.
        """
        other, inactive = self.priors
        kept = {w: p for w, p in found.items() if w in active}
        idle = 1.0 - sum(kept.values()) - found[OTHER] - found[NOISE]
        kept[OTHER] = other * found[OTHER] + inactive * max(0.0, idle)
        kept[NOISE] = other * found[NOISE]
        total = sum(kept.values())
        return {w: p / total for w, p in kept.items()}


_FEWEST_STEPS = 3


def _head_of(path: Path) -> Path:
    return path.with_name(path.stem + "_head.npz")


def one_core_session(body: bytes) -> Any:
    """Load the body on one core: more threads win nothing on a clip of a second."""
    import onnxruntime  # noqa: PLC0415

    settings = onnxruntime.SessionOptions()
    settings.intra_op_num_threads = 1
    settings.inter_op_num_threads = 1
    settings.log_severity_level = 3
    return onnxruntime.InferenceSession(
        body, settings, providers=["CPUExecutionProvider"]
    )
