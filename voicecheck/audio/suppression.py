"""Noise suppression by RNNoise (library pyrnnoise), on whole utterances.

RNNoise works at 48 kHz on frames of 10 ms; sound is resampled there and back.
"""

from __future__ import annotations

import importlib.util
from functools import cache
from types import ModuleType

import numpy as np
import soxr

from voicecheck.audio.frames import RATE_HZ, Frames

_RNNOISE_HZ = 48_000
_FRAME = 480
_DELAY = 2 * _FRAME
"""How late the library answers, measured: its overlap and its look-ahead."""
_FULL_SCALE = 32_767.0


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


def available() -> bool:
    """Tell whether suppression works on this computer."""
    return _rnnoise() is not None


def suppress(frames: Frames) -> Frames:
    """Return the sound with its noise suppressed.

    Args:
        frames: mono at 16 kHz, shape (n,). It should begin with a little
            background, from which the network takes its bearings.

    Returns:
        Shape (n,). The same sound when RNNoise has no binary for this
        computer.

    Source:
        Valin 2018, "A Hybrid DSP/Deep Learning Approach to Real-Time
        Full-Band Speech Enhancement".
    """
    module = _rnnoise()
    if module is None or len(frames) == 0:
        return frames
    wide = soxr.resample(frames, RATE_HZ, _RNNOISE_HZ)
    padded = np.pad(wide, (0, -len(wide) % _FRAME + _DELAY))
    pcm = np.clip(padded * _FULL_SCALE, -32_768, 32_767).astype(np.int16)
    state = module.create()
    try:
        clean = [
            module.process_mono_frame(state, pcm[at : at + _FRAME])[0]
            for at in range(0, len(pcm), _FRAME)
        ]
    finally:
        module.destroy(state)
    joined = np.concatenate(clean).astype(np.float32)[_DELAY:] / _FULL_SCALE
    narrow = soxr.resample(joined, _RNNOISE_HZ, RATE_HZ)
    return np.asarray(_fit(narrow, len(frames)), dtype=np.float32)


def _fit(frames: Frames, length: int) -> Frames:
    return np.pad(frames, (0, max(0, length - len(frames))))[:length]
