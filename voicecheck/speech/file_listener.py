"""Listen to a sound file: from its samples to what may have been said in it.

A file goes the way of the microphone: voice activity, end-pointing, recogniser.
But a file may be a bare word, without the background that a microphone always
brings, so a little is put around it: like the file's own where it has some, else
faint noise. Never zeros: between zeros a recogniser hears words that nobody said.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from voicecheck.audio.activity import (
    BLOCK_S,
    Activity,
    Endpointer,
    EndpointSettings,
    Utterance,
)
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.noise import shaped_noise
from voicecheck.audio.ports import BLOCK
from voicecheck.speech.early_ending import EarlyEnding, Recognised
from voicecheck.speech.ports import ActiveSet, Hypothesis, Recogniser

__all__ = ["FileListener", "HeardInFile"]

BEFORE_BLOCKS = 32
"""Background put before the file, from which the networks take their bearings."""
AFTER_BLOCKS = 32
"""Background put behind it, so that the last utterance ends."""
FAINT_DBFS = -60.0
"""Level of the background of a file that has none of its own."""
_FLOOR_DBFS = -75.0
"""A file's own background is never taken to be fainter than this."""
_NO_SPEECH = 0.2
"""Blocks below this probability of speech are background."""
_PAUSE_BLOCKS = 7
"""A pause of so many is background; one inside a word is shorter."""
_SOFT_PEAK = 0.1
"""A file whose peak lies below this is turned up, by this much at most: the
voice activity network is deaf to speech below about -45 dBFS (measured)."""
_MOST_GAIN = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardInFile:
    """What may have been said in a file."""

    hypotheses: tuple[Hypothesis, ...]
    """Of the best utterance, the likeliest first; empty: none of the phrases."""
    utterances: int
    """How many pieces of speech were found."""


class FileListener:
    """Hear files with one recogniser.

    Args:
        recogniser: hears the utterances.
        activity: tells speech from background.
        settings: when an utterance ends; None: as at the microphone.
    """

    def __init__(
        self,
        recogniser: Recogniser,
        activity: Activity,
        settings: EndpointSettings | None = None,
    ) -> None:
        self._recogniser = recogniser
        self._activity = activity
        self._endpointer = Endpointer(activity, settings)
        longer = self._endpointer.settings
        longer = replace(longer, end_s=longer.resumed_end_s)
        self._for_numbers = Endpointer(activity, longer)

    def hear(self, frames: Frames, active: ActiveSet) -> HeardInFile:
        """Return what may have been said.

        Of several utterances the one with the most confident hypothesis counts;
        of equals, the first. One that is too long to be an answer is no answer.

        Args:
            frames: the file, mono float32 at 16 kHz, shape (n,), n >= 1.
            active: what may be said.
        """
        found = self._recognised(frames, active)
        heard = [one.hypotheses for one in self._short(found)]
        best = max(heard, key=_confidence, default=())
        return HeardInFile(hypotheses=best, utterances=len(found))

    def _recognised(self, frames: Frames, active: ActiveSet) -> list[Recognised]:
        """Hear what `Listener` would hear: the same looks, the same early ends."""
        endpointer = self._for_numbers if active.numbers else self._endpointer
        early = EarlyEnding(self._recogniser, endpointer)
        endpointer.reset()
        blocks = _blocks(self._surrounded(frames))
        found = [early.accept(block, active) for block in blocks]
        return [r for r in found if r is not None and _is_in(r.utterance, len(frames))]

    def utterances(
        self, frames: Frames, *, numbers: bool = False
    ) -> tuple[Utterance, ...]:
        """Return the pieces of speech of a file, with background around each.

        What lies in the background that was put around the file is none.

        Args:
            frames: the file, mono float32 at 16 kHz.
            numbers: a number may be said, and paused in.
        """
        endpointer = self._for_numbers if numbers else self._endpointer
        endpointer.reset()
        found = [endpointer.accept(b) for b in _blocks(self._surrounded(frames))]
        return tuple(u for u in found if u is not None and _is_in(u, len(frames)))

    def _short(self, found: list[Recognised]) -> list[Recognised]:
        """Leave out what is too long, and the rest that follows on its heels."""
        end_blocks = self._endpointer.settings.end_s / BLOCK_S
        kept: list[Recognised] = []
        cut_at: float | None = None
        for one in found:
            utterance = one.utterance
            rest = cut_at is not None and utterance.begins_block - cut_at <= end_blocks
            if utterance.too_long or rest:
                cut_at = utterance.ends_block
            else:
                kept.append(one)
        return kept

    def _surrounded(self, frames: Frames) -> Frames:
        """Put background around a file, and turn it up when it is very soft."""
        rng = np.random.default_rng(len(frames))  # the same file, the same noise
        loud = frames * np.float32(_gain(frames))
        before, after = BEFORE_BLOCKS * BLOCK, (AFTER_BLOCKS + 1) * BLOCK
        faint = _faint(before, rng)
        own = self._own_background(np.concatenate([faint, loud]))
        if own is None:
            return np.concatenate([faint, loud, _faint(after, rng)])
        return np.concatenate([_like(own, before, rng), loud, _like(own, after, rng)])

    def _own_background(self, frames: Frames) -> Frames | None:
        """Return the longest pause of the file, shape (k, BLOCK), or None.

        Args:
            frames: the file with background before it.
        """
        self._activity.reset()
        longest: list[Frames] = []
        pause: list[Frames] = []
        for number, block in enumerate(_blocks(frames)):
            speech = self._activity.probability(block).heard >= _NO_SPEECH
            pause = [] if speech or number < BEFORE_BLOCKS else [*pause, block]
            longest = max(longest, pause, key=len)
        # its first and last block may hold the edge of a word
        return np.stack(longest[1:-1]) if len(longest) >= _PAUSE_BLOCKS else None


def _is_in(utterance: Utterance, samples: int) -> bool:
    """Tell whether an utterance lies in the file, not in the noise around it."""
    last = BEFORE_BLOCKS + samples // BLOCK
    return utterance.ends_block >= BEFORE_BLOCKS and utterance.begins_block <= last


def _confidence(hypotheses: tuple[Hypothesis, ...]) -> float:
    return hypotheses[0].confidence if hypotheses else -1.0


def _blocks(frames: Frames) -> list[Frames]:
    count = len(frames) // BLOCK
    return list(frames[: count * BLOCK].reshape(count, BLOCK))


def _gain(frames: Frames) -> float:
    peak = float(np.max(np.abs(frames)))
    if peak >= _SOFT_PEAK:
        return 1.0
    return min(_MOST_GAIN, _SOFT_PEAK / max(peak, 1e-9))


def _faint(samples: int, rng: np.random.Generator) -> Frames:
    noise = shaped_noise(samples, rng, lambda hz: (np.maximum(hz, 100) / 100) ** -0.5)
    return np.asarray(noise * 10 ** (FAINT_DBFS / 20), dtype=np.float32)


def _like(background: Frames, samples: int, rng: np.random.Generator) -> Frames:
    """Return noise with the spectrum and the level of some blocks.

    The level is the median one, so that a click or a breath counts for nothing.
    """
    window = np.hanning(BLOCK)
    powers = np.mean(np.square(background, dtype=np.float64), axis=1)
    spectrum = np.median(np.abs(np.fft.rfft(background * window, axis=1)), axis=0)
    at_hz = np.fft.rfftfreq(BLOCK, 1 / RATE_HZ)
    rms = max(float(np.sqrt(np.median(powers))), 10 ** (_FLOOR_DBFS / 20))
    noise = shaped_noise(samples, rng, lambda hz: np.interp(hz, at_hz, spectrum) + 1e-9)
    return np.asarray(noise * rms, dtype=np.float32)
