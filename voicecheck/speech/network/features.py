"""Log-mel features: 40 bands every 10 ms, blind to level and microphone tone.

Energies are taken relative to the loudest band of the clip, floored 70 dB
below it, and each band's mean over the clip is removed. So neither the gain
nor a fixed tilt of the sound matters.

Source of the mel scale: 2595 log10(1 + f/700), as in the HTK Book (Young et
al.); triangles of equal width on it.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import RATE_HZ, Frames

__all__ = ["BANDS", "FLOOR", "HOP", "SPAN", "SPECTRUM", "log_mel", "mel_weights"]

BANDS = 40
HOP = 160
"""10 ms."""
SPAN = 400
"""25 ms window."""
SPECTRUM = 512
"""Points of the Fourier transform."""
LOW_HZ, HIGH_HZ = 60.0, 7_600.0
FLOOR = 1e-7
"""Lowest energy relative to the loudest band: -70 dB."""


@cache
def mel_weights() -> NDArray[np.float32]:
    """Return triangular weights, shape (BANDS, SPECTRUM // 2 + 1)."""

    def mel(hz: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(2595 * np.log10(1 + hz / 700))

    low, high = mel(np.array([LOW_HZ, HIGH_HZ])).tolist()
    edges = np.linspace(low, high, BANDS + 2)
    bins = mel(np.arange(SPECTRUM // 2 + 1) * RATE_HZ / SPECTRUM)
    left, centre, right = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    rising = (bins - left) / (centre - left)
    falling = (right - bins) / (right - centre)
    triangles = np.maximum(0, np.minimum(rising, falling))
    return np.asarray(triangles, dtype=np.float32)


@cache
def window() -> NDArray[np.float32]:
    """Return the Hann window (periodic), shape (SPAN,)."""
    phase = 2 * np.pi * np.arange(SPAN) / SPAN
    return (0.5 - 0.5 * np.cos(phase)).astype(np.float32)


def log_mel(frames: Frames) -> NDArray[np.float32]:
    """Return the features of a clip.

    Args:
        frames: float32 mono 16 kHz, shape (n,), n >= SPAN.

    Returns:
        float32, shape (BANDS, 1 + (n - SPAN) // HOP), zero mean in each band.

    Raises:
        ValueError: the clip is shorter than one window.
    """
    if frames.ndim != 1 or frames.size < SPAN:
        raise ValueError(f"give at least {SPAN} samples of mono sound")
    blocks = np.lib.stride_tricks.sliding_window_view(frames, SPAN)[::HOP]
    spectrum = np.fft.rfft(blocks * window(), SPECTRUM, axis=1)
    power = (spectrum.real**2 + spectrum.imag**2).astype(np.float32)
    mel = mel_weights() @ power.T
    loudest = max(float(mel.max()), 1e-20)
    logs = np.log10(mel / np.float32(loudest) + np.float32(FLOOR))
    return np.asarray(logs - logs.mean(axis=1, keepdims=True), dtype=np.float32)
