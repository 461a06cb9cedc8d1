"""What one utterance says about whose voice it is: spectrum and pitch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.speech.enrolment.network_view import spectrum_of

__all__ = ["VoiceVector", "pitch_hz", "voice_vector"]

_LOUD_SHARE = 0.3
"""Part of the frames, the loudest, that the spectrum is taken from."""
_FRAME = RATE_HZ * 40 // 1000
_HOP = RATE_HZ // 100
_LOWEST_HZ, _HIGHEST_HZ = 70.0, 400.0
_VOICED = 0.5
"""Autocorrelation from which a frame counts as voiced (common practice)."""
_FEWEST_VOICED = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VoiceVector:
    """Marks of a voice in one utterance."""

    spectrum: NDArray[np.float64]
    """Mean log-mel of the loudest frames, its own mean removed, shape (bands,)."""
    pitch_hz: float | None
    """Median pitch; None where too little is voiced."""


def voice_vector(frames: Frames) -> VoiceVector:
    """Measure the marks of the voice in one utterance."""
    mel = spectrum_of(frames)
    loudness = mel.mean(axis=0)
    count = max(3, int(_LOUD_SHARE * loudness.size))
    loud = mel[:, np.argsort(loudness)[-count:]].mean(axis=1)
    return VoiceVector(spectrum=loud - loud.mean(), pitch_hz=pitch_hz(frames))


def pitch_hz(frames: Frames) -> float | None:
    """Return the median pitch of the voiced frames, or None.

    Method: peak of the normalised autocorrelation of 40 ms frames, the
    autocorrelation of the window divided out (Boersma 1993, "Accurate
    short-term analysis of the fundamental frequency ...").
    """
    if frames.size < _FRAME + _HOP:
        return None
    views = np.lib.stride_tricks.sliding_window_view(frames, _FRAME)[::_HOP]
    energy = np.mean(np.square(views), axis=1)
    loud = views[energy >= 0.1 * energy.max()].astype(np.float64)
    window = np.hanning(_FRAME)
    tapered = (loud - loud.mean(axis=1, keepdims=True)) * window
    own = _autocorrelation(tapered) / _autocorrelation(window[None])
    first, last = int(RATE_HZ / _HIGHEST_HZ), int(RATE_HZ / _LOWEST_HZ)
    scaled = own[:, first : last + 1] / np.maximum(own[:, :1], 1e-12)
    # a period counts a little less the longer it is: no octave too low
    weighed = scaled - 0.1 * np.log2(np.arange(first, last + 1) / first)[None]
    best = np.argmax(weighed, axis=1)
    voiced = scaled[np.arange(len(best)), best] >= _VOICED
    if voiced.sum() < _FEWEST_VOICED:
        return None
    return float(np.median(RATE_HZ / (best[voiced] + first)))


def _autocorrelation(rows: NDArray[np.float64]) -> NDArray[np.float64]:
    power = np.abs(np.fft.rfft(rows, 2 * _FRAME)) ** 2
    return np.asarray(np.fft.irfft(power)[:, :_FRAME])
