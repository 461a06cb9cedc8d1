"""The digit network at work, in ONNX Runtime."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import Frames
from voicecheck.errors import ModelError
from voicecheck.speech.network.features import SPAN, log_mel
from voicecheck.speech.network.model import one_core_session

__all__ = ["DigitNetwork", "shipped_digits"]


def shipped_digits() -> Path:
    """Return the digit network that comes with the package."""
    return Path(__file__).parent / "weights" / "digits.onnx"


@dataclass(frozen=True, slots=True)
class DigitNetwork:
    """A loaded digit network; see `DigitNetwork.load`."""

    session: Any

    @classmethod
    def load(cls, path: Path | None = None) -> DigitNetwork:
        """Read a network.

        Args:
            path: the .onnx file; the shipped one when None.

        Raises:
            ModelError: the file is missing or broken.
        """
        path = shipped_digits() if path is None else path
        try:
            return cls(one_core_session(path.read_bytes()))
        except (OSError, ValueError, RuntimeError) as problem:
            raise ModelError(
                f"cannot read the digit network in {path}: {problem}. "
                "Install voicecheck again, or train the network anew."
            ) from problem

    def log_words(self, frames: Frames) -> NDArray[np.float32]:
        """Return log probabilities of nothing new and of each of `WORDS`.

        Args:
            frames: float32 mono 16 kHz, at least 50 ms.

        Returns:
            Shape (time, 1 + words), a step every 20 ms.

        Raises:
            ValueError: the clip is shorter than 50 ms.
        """
        if frames.size < 2 * SPAN:
            raise ValueError("give at least 50 ms of sound")
        mel = log_mel(frames)
        (logs,) = self.session.run(["words"], {"mel": mel[None]})
        return np.asarray(logs[0], dtype=np.float32)
