"""What a voice is to the benchmark."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Protocol

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.mixing import FRAME, active_mask

__all__ = ["Family", "Synthesiser", "Voice", "to_clip"]


class Family(Enum):
    """Synthesisers, grouped so that relatives never stand on both sides.

    flite and festival share speakers (kal, slt); the small neural voice was
    distilled from the large one: each pair is one family.
    """

    ESPEAK = "espeak"
    """Formant synthesis by rule."""
    FESTVOX = "festvox"
    """Diphone, unit and statistical voices of Festival and Flite."""
    TUBE = "tube"
    """Articulatory tube model."""
    STYLE = "style"
    """Neural style-vector voices (Kokoro and its distillate)."""
    PIPER = "piper"
    """Neural end-to-end voices (VITS)."""
    MORPHED = "morphed"
    """Voices of the tuning families, changed by a vocoder; relatives of those."""
    HUMAN = "human"
    """Recordings of a person; few words, for judging only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """One speaker of one synthesiser, at one setting."""

    family: Family
    """Which relatives it has."""
    name: str
    """Speaker, unique in its family."""
    setting: str
    """Rate, pitch and the like, in words of the adapter; unique per speaker."""
    licence: str
    """Licence of the voice data."""

    @property
    def key(self) -> str:
        """Family, name and setting in one word."""
        return f"{self.family.value}/{self.name}/{self.setting}"


class Synthesiser(Protocol):
    """Says phrases in some voices."""

    def voices(self) -> tuple[Voice, ...]:
        """List the voices that work here; empty when nothing is installed."""
        ...

    def say(self, voice: Voice, text: str) -> Frames | None:
        """Return the phrase as a trimmed clip, or None if it cannot be said."""
        ...


def to_clip(samples: np.ndarray, rate_hz: float) -> Frames:
    """Bring a synthesiser's sound to 16 kHz mono, trimmed, peak 0.5.

    Silence at both ends goes, 20 ms stay, with a short fade against clicks.
    """
    mono = np.asarray(samples, dtype=np.float32)
    if mono.ndim > 1:
        mono = mono.mean(axis=1)
    if rate_hz != RATE_HZ:
        import soxr  # noqa: PLC0415

        mono = soxr.resample(mono, rate_hz, RATE_HZ)
    if mono.size == 0 or not mono.any():
        return np.zeros(0, dtype=np.float32)
    active = np.flatnonzero(active_mask(mono, 45.0))
    start = max(0, (int(active[0]) - 1) * FRAME)
    clip = mono[start : (int(active[-1]) + 2) * FRAME].copy()
    fade = np.linspace(0, 1, 80, dtype=np.float32)
    clip[:80] *= fade
    clip[-80:] *= fade[::-1]
    peak = float(np.abs(clip).max())
    return np.asarray(clip * np.float32(0.5 / peak), dtype=np.float32)
