"""RNNoise, frame by frame, with a state that can be kept and taken up again."""

from __future__ import annotations

import ctypes
import importlib.util
from functools import cache
from types import ModuleType
from typing import Self

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "FRAME",
    "FULL_SCALE",
    "RNNOISE_HZ",
    "Denoiser",
    "Pcm",
    "available",
    "pcm_of",
]

RNNOISE_HZ = 48_000
FRAME = 480
"""Samples of a frame: 10 ms."""
FULL_SCALE = 32_767.0

Pcm = NDArray[np.int16]


def pcm_of(frames: NDArray[np.float32]) -> Pcm:
    """Return samples of -1 … 1 as the library takes them, limited."""
    return np.asarray(np.clip(frames * FULL_SCALE, -32_768, 32_767).astype(np.int16))


@cache
def _rnnoise() -> ModuleType | None:
    """Load the library's own binding, without its package.

    The package imports a media framework and a plotting library that we do
    not need and that cost 100 MB of memory.
    """
    package = importlib.util.find_spec("pyrnnoise")
    if package is None or not package.submodule_search_locations:
        return None
    path = f"{package.submodule_search_locations[0]}/rnnoise.py"
    spec = importlib.util.spec_from_file_location("voicecheck_rnnoise", path)
    if spec is None or spec.loader is None:
        return None
    module = importlib.util.module_from_spec(spec)
    try:
        spec.loader.exec_module(module)
    except OSError:  # no binary for this computer
        return None
    return module


@cache
def _state_size() -> int:
    """Bytes of a state: one flat block; its pointers go to constant weights."""
    module = _rnnoise()
    return int(module.lib.rnnoise_get_size()) if module else 0


def available() -> bool:
    """Tell whether RNNoise works on this computer."""
    return _rnnoise() is not None


class Denoiser:
    """Denoise one sound in frames of 10 ms at 48 kHz.

    Args:
        state: where another one was, from `save`; None: at the beginning.

    Raises:
        RuntimeError: RNNoise is not `available`.
    """

    def __init__(self, state: bytes | None = None) -> None:
        module = _rnnoise()
        if module is None:
            raise RuntimeError("RNNoise has no binary for this computer")
        self._module = module
        self._state: int | None = module.create()
        if state is not None:
            ctypes.memmove(self._state, state, len(state))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __del__(self) -> None:
        self.close()

    def close(self) -> None:
        """Give the memory back. Safe to call twice."""
        state, self._state = getattr(self, "_state", None), None
        if state is not None:
            self._module.destroy(state)

    def save(self) -> bytes:
        """Return where it is now; about 33 kB."""
        return ctypes.string_at(self._state or 0, _state_size())

    def process(self, frame: Pcm) -> Pcm:
        """Return the next denoised frame, shape (FRAME,)."""
        return np.asarray(self._module.process_mono_frame(self._state, frame)[0])

    def process_all(self, pcm: Pcm) -> list[Pcm]:
        """Return the next frames, denoised, of a sound of shape (n * FRAME,)."""
        return [self.process(pcm[at : at + FRAME]) for at in range(0, len(pcm), FRAME)]
