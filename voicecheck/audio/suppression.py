"""Noise suppression by RNNoise (library pyrnnoise): whole, or as sound comes in.

RNNoise works at 48 kHz on frames of 10 ms; sound is resampled there and back.
It is causal but for 20 ms, so most of an utterance can be denoised while it is
spoken: `RunningSuppressor` does, and gives sample for sample what `suppress`
gives. It leaves its result where `suppress` finds it, so that a recogniser that
calls `suppress` on the same utterance need not know.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict, deque
from dataclasses import dataclass
from threading import Lock

import numpy as np
import soxr

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.rnnoise import (
    FRAME,
    FULL_SCALE,
    RNNOISE_HZ,
    Denoiser,
    Pcm,
    available,
    pcm_of,
)

__all__ = ["RunningSuppressor", "available", "suppress"]

_DELAY = 2 * FRAME
"""How late the library answers, measured: its overlap and its look-ahead."""
_UP = RNNOISE_HZ // RATE_HZ
_KEPT_STATES = 32
"""Marks that a running suppressor keeps: one a block, a second of sound."""
_REMEMBERED = 4


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
    if not available() or len(frames) == 0:
        return frames
    known = _memory.get(frames)
    if known is not None:
        return known
    with Denoiser() as denoiser:
        return _narrow(denoiser.process_all(_padded(_wide(frames))), len(frames))


@dataclass(frozen=True, slots=True, eq=False)
class _Mark:
    """Where the suppressor was after some frames."""

    frames: int
    """Frames of 10 ms denoised."""
    state: bytes


class RunningSuppressor:
    """Denoise one sound while it comes in.

    Example:
        running = RunningSuppressor()
        running.push(block)             # again and again
        clean = running.denoised(utterance)
    """

    def __init__(self) -> None:
        self.begin()

    def begin(self) -> None:
        """Forget all; the next block is the beginning of a sound."""
        self._resampler = soxr.ResampleStream(RATE_HZ, RNNOISE_HZ, 1, dtype="float32")
        self._denoiser = Denoiser() if available() else None
        self._wide = np.zeros(0, np.int16)
        self._clean: list[Pcm] = []
        self._marks: deque[_Mark] = deque(maxlen=_KEPT_STATES)
        self._pushed: list[Frames] = []

    def push(self, block: Frames) -> None:
        """Take in the next piece of the sound, mono at 16 kHz."""
        if self._denoiser is None:
            return
        self._pushed.append(block)
        self._marks.append(_Mark(len(self._clean), self._denoiser.save()))
        wide = pcm_of(self._resampler.resample_chunk(block))
        ready = np.concatenate([self._wide, wide])
        whole = len(ready) // FRAME * FRAME
        self._clean += self._denoiser.process_all(ready[:whole])
        self._wide = ready[whole:]

    def denoised(self, sound: Frames) -> Frames:
        """Return what `suppress(sound)` returns, and let it find it.

        Args:
            sound: the beginning of what was pushed, or all of it. Of any other
                sound this is no quicker than `suppress`.
        """
        if self._denoiser is None or len(sound) == 0:
            return sound
        mark = self._mark_for(sound)
        if mark is None:
            clean = suppress(sound)
            _memory.put(sound, clean)
            return clean
        rest = _padded(_wide(sound))[mark.frames * FRAME :]
        with Denoiser(mark.state) as denoiser:
            tail = denoiser.process_all(rest)
        clean = _narrow([*self._clean[: mark.frames], *tail], len(sound))
        _memory.put(sound, clean)
        return clean

    def _mark_for(self, sound: Frames) -> _Mark | None:
        """Return the last mark before the end of this sound, or None."""
        pushed = np.concatenate(self._pushed or [np.zeros(0, np.float32)])
        if not np.array_equal(pushed[: len(sound)], sound):
            return None
        # what the resampler had given out by then rests on this sound alone
        began = np.cumsum([len(block) for block in self._pushed])[-len(self._marks) :]
        now = _Mark(len(self._clean), self._denoiser.save() if self._denoiser else b"")
        marks = [*list(self._marks)[1:], now]
        usable = [m for m, end in zip(marks, began, strict=True) if end <= len(sound)]
        return usable[-1] if usable else None


class _Memory:
    """The last few results, by the content of the sound."""

    def __init__(self) -> None:
        self._kept: OrderedDict[bytes, Frames] = OrderedDict()
        self._lock = Lock()

    def get(self, frames: Frames) -> Frames | None:
        """Return the denoised sound, if it is known; a copy."""
        with self._lock:
            found = self._kept.get(_key(frames))
        return None if found is None else found.copy()

    def put(self, frames: Frames, clean: Frames) -> None:
        """Keep a result; the oldest goes."""
        with self._lock:
            self._kept[_key(frames)] = clean.copy()
            while len(self._kept) > _REMEMBERED:
                self._kept.popitem(last=False)


_memory = _Memory()


def _key(frames: Frames) -> bytes:
    data = np.ascontiguousarray(frames, dtype=np.float32)
    return hashlib.blake2b(data.tobytes(), digest_size=16).digest()


def _wide(frames: Frames) -> Pcm:
    return pcm_of(soxr.resample(frames, RATE_HZ, RNNOISE_HZ))


def _padded(wide: Pcm) -> Pcm:
    return np.pad(wide, (0, -len(wide) % FRAME + _DELAY))


def _narrow(clean: list[Pcm], length: int) -> Frames:
    """Take out the delay; return shape (length,) at 16 kHz."""
    sound = np.concatenate(clean).astype(np.float32)[_DELAY:] / FULL_SCALE
    narrow = soxr.resample(sound, RNNOISE_HZ, RATE_HZ)
    fitted = np.pad(narrow, (0, max(0, length - len(narrow))))[:length]
    return np.asarray(fitted, dtype=np.float32)
