"""New talkers from old clips, by the WORLD vocoder (PyPI `pyworld`, MIT).

WORLD (Morise, Yokomori and Ozawa, IEICE Trans. Inf. & Syst. E99-D(7), 2016)
takes speech apart into pitch, spectral envelope and aperiodicity. Stretching
the envelope along frequency stands for a shorter or longer vocal tract; pitch,
tempo and breathiness change on their own.

A morphed talker is a relative of its source: its name begins with the family
of the source, and it must never judge what the source has tuned.
"""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.bench.corpus import Clip
from voicecheck.bench.voices.ports import Family, to_clip
from voicecheck.errors import SynthesisError

__all__ = ["Morph", "draw_morph", "morph", "morphed_clips", "warp_envelope"]

FRAME_MS = 5.0
WARP = (0.85, 1.18)
PITCH = (0.7, 1.5)
TEMPO = (0.8, 1.25)
BREATH = (0.0, 0.35)


@dataclass(frozen=True, slots=True, kw_only=True)
class Morph:
    """What makes a new talker out of an old one; the neutral one is 1 1 1 0."""

    warp: float
    """Formant frequencies times this."""
    pitch: float
    """Pitch times this."""
    tempo: float
    """Speed times this."""
    breath: float
    """Share of the periodic part that turns into noise, 0 to 1."""

    @property
    def setting(self) -> str:
        """The four numbers in one word."""
        return f"w{self.warp}p{self.pitch}t{self.tempo}b{self.breath}"


def draw_morph(rng: np.random.Generator) -> Morph:
    """Draw a talker; ratios are drawn evenly on the logarithm."""
    ratios = [
        round(float(np.exp(rng.uniform(*np.log(limits)))), 3)
        for limits in (WARP, PITCH, TEMPO)
    ]
    return Morph(
        warp=ratios[0],
        pitch=ratios[1],
        tempo=ratios[2],
        breath=round(float(rng.uniform(*BREATH)), 3),
    )


def warp_envelope(envelope: np.ndarray, warp: float) -> np.ndarray:
    """Move what stands at frequency f to f times `warp`.

    Args:
        envelope: power, frames by frequency bins from 0 Hz to half the rate.
        warp: above 1 for a shorter vocal tract. Past the last bin the
            envelope keeps its last value.
    """
    bins = np.arange(envelope.shape[1])
    logs = np.log(np.maximum(envelope, 1e-16))
    moved = np.stack([np.interp(bins / warp, bins, row) for row in logs])
    return np.ascontiguousarray(np.exp(moved))


def morph(frames: Frames, by: Morph) -> Frames:
    """Let the new talker say what the old one said, as a trimmed clip.

    Raises:
        SynthesisError: `pyworld` is not installed.
    """
    if importlib.util.find_spec("pyworld") is None:
        raise SynthesisError(
            "The morphed voices need the WORLD vocoder: run pip install pyworld"
        )
    pyworld: Any = importlib.import_module("pyworld")
    sound = np.asarray(frames, dtype=np.float64)
    pitch_hz, times_s = pyworld.dio(sound, RATE_HZ, frame_period=FRAME_MS)
    pitch_hz = pyworld.stonemask(sound, pitch_hz, times_s, RATE_HZ)
    envelope = pyworld.cheaptrick(sound, pitch_hz, times_s, RATE_HZ)
    noise = pyworld.d4c(sound, pitch_hz, times_s, RATE_HZ)
    spoken = pyworld.synthesize(
        pitch_hz * by.pitch,
        warp_envelope(envelope, by.warp),
        1 - (1 - noise) * (1 - by.breath),
        RATE_HZ,
        FRAME_MS / by.tempo,
    )
    return to_clip(spoken, RATE_HZ)


def morphed_clips(
    sources: Sequence[Clip],
    *,
    talkers: int = 2,
    seed: int = 31,
    by_all: Callable[[Clip], bool] = lambda _clip: False,
) -> Iterator[Clip]:
    """Make `talkers` new voices of each source voice.

    The clips of a voice are dealt out among its new talkers at random: each
    says another part of them, so there are as many clips as sources.

    Args:
        sources: clips of synthesised voices.
        talkers: how many a source voice becomes.
        seed: of the talkers and of who says what.
        by_all: tells which clips are not dealt out: every new talker says them.
    """
    rng = np.random.default_rng(seed)
    keys = sorted({clip.voice for clip in sources})
    drawn = {key: [draw_morph(rng) for _ in range(talkers)] for key in keys}
    dealt = rng.integers(talkers, size=len(sources))
    for clip, chosen in zip(sources, dealt, strict=True):
        for number in range(talkers) if by_all(clip) else (int(chosen),):
            by = drawn[clip.voice][number]
            frames = morph(clip.frames, by)
            if not 1_900 <= frames.size <= 60_000:
                continue
            source = clip.voice.replace("/", "-")
            voice = f"{Family.MORPHED.value}/{source}-{number}/{by.setting}"
            yield Clip(text=clip.text, label=clip.label, voice=voice, frames=frames)
