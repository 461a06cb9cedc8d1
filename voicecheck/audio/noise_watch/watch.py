"""Follow the noise and the voice of one walk."""

from __future__ import annotations

import math
from collections import Counter, deque
from collections.abc import Mapping

import numpy as np

from voicecheck.audio.activity import BLOCK_S
from voicecheck.audio.frames import Frames
from voicecheck.audio.noise_watch.bands import BlockPower, block_power
from voicecheck.audio.noise_watch.loudness import Advice, Change, Hysteresis
from voicecheck.audio.noise_watch.quantile_floor import QuantileFloor
from voicecheck.audio.ports import BLOCK

__all__ = ["FLOOR_DBFS", "NoiseWatch"]

FLOOR_DBFS = -100.0
"""Digital silence counts as this."""
_LEVEL_S = 1.0
"""Levels are means of energy over about a second, like the slow reading of a
sound level meter (IEC 61672-1 time weighting S, from memory)."""
_LEVEL_BLOCKS = round(_LEVEL_S / BLOCK_S)
_HELD_BLOCKS = 3
"""The beginning of a word, before it is known to be one."""
_VOICES = 5
"""Utterances whose median is the usual level of the voice."""
_FAINT_DBFS = -40.0
"""A voice below this is too far from the microphone (common practice, no
source; `devices` warns at the same level)."""
_LOW_BANDS = 3
_LOW_DB = 9.0
"""Octaves up to 250 Hz by this over the rest: wind or a fan (our yard noises:
wind 10, idling engine 7, pink noise 0)."""
_BANGS_DB = 7.0
"""Loud moments over the usual ones (our yard noises: crusher 8, wind 4, the
others 1 to 3)."""


class NoiseWatch:
    """Level of the noise, level of the voice, and what follows from them.

    Args:
        full_scale_db: sound pressure level of an RMS of 1.0, of the sound
            check; None: levels stay relative to full scale.
    """

    def __init__(self, full_scale_db: float | None = None) -> None:
        self.full_scale_db = full_scale_db
        self._floor = QuantileFloor()
        self._held: deque[BlockPower] = deque()
        self._second: list[float] = []
        self._levels: Counter[int] = Counter()
        self._voices: deque[float] = deque(maxlen=_VOICES)
        self._hysteresis = Hysteresis()
        self._change: Change | None = None

    def hears_down_to(self, snr_db: float) -> None:
        """Call it too loud only below this ratio of speech over noise."""
        self._hysteresis.loud_below_db = snr_db

    @property
    def too_loud(self) -> bool:
        """Whether it is too loud now to hear reliably."""
        return self._hysteresis.too_loud

    @property
    def noise_dbfs(self) -> float:
        """Unweighted level of the noise, dB against an RMS of 1.0."""
        return _dbfs(float(self._floor.bands().sum()))

    @property
    def snr_db(self) -> float | None:
        """Usual level of the voice over the noise; None before it was heard."""
        if not self._voices or not self._floor.known:
            return None
        return float(np.median(self._voices)) - self.noise_dbfs

    def background(self, block: Frames) -> None:
        """Take in one block in which nobody is known to speak."""
        self._held.append(block_power(block))
        if len(self._held) > _HELD_BLOCKS:
            self._take(self._held.popleft())

    def speech(self) -> None:
        """Say that somebody began to speak: the last blocks were their word."""
        self._held.clear()

    def utterance(self, frames: Frames) -> None:
        """Take in one utterance with a little background around, shape (n,)."""
        noise = 10 ** (self.noise_dbfs / 10)
        whole = frames[: len(frames) // BLOCK * BLOCK].reshape(-1, BLOCK)
        if len(whole) == 0 or not self._floor.known:
            return
        power = np.sort(np.mean(np.square(whole, dtype=np.float64), axis=1))
        loud = float(np.mean(power[len(power) // 2 :])) - noise
        self._voices.append(_dbfs(max(loud, noise * 1e-2)))

    def take_change(self) -> Change | None:
        """Return what changed since it was last asked, once."""
        change, self._change = self._change, None
        return change

    def take_levels(self) -> Mapping[int, float]:
        """Return for how many seconds each A-weighted level held, and forget it.

        Keys are whole decibels re an RMS of 1.0.
        """
        levels = {
            level: round(count * _LEVEL_BLOCKS * BLOCK_S, 3)
            for level, count in sorted(self._levels.items())
        }
        self._levels.clear()
        return levels

    def _take(self, power: BlockPower) -> None:
        self._floor.add(power)
        self._second.append(power.a_weighted)
        if len(self._second) < _LEVEL_BLOCKS:
            return
        level_dbfs = _dbfs(float(np.mean(self._second)))
        self._second.clear()
        self._levels[round(level_dbfs)] += 1
        snr_db = self.snr_db
        if snr_db is not None and self._hysteresis.saw(snr_db, _LEVEL_S):
            self._change = self._changed(level_dbfs, snr_db)

    def _changed(self, level_dbfs: float, snr_db: float) -> Change:
        calibrated = self.full_scale_db is not None
        return Change(
            too_loud=self.too_loud,
            advice=self._advice(),
            noise=round(level_dbfs + (self.full_scale_db or 0.0), 1),
            unit="dB(A)" if calibrated else "dBFS(A)",
            snr_db=round(snr_db, 1),
        )

    def _advice(self) -> Advice:
        if float(np.median(self._voices)) < _FAINT_DBFS:
            return Advice.MICROPHONE
        if self._floor.swing_db() > _BANGS_DB:
            return Advice.BANGS
        bands = self._floor.bands()
        low, rest = float(bands[:_LOW_BANDS].sum()), float(bands[_LOW_BANDS:].sum())
        if low > rest * 10 ** (_LOW_DB / 10):
            return Advice.LOW
        return Advice.STEADY


def _dbfs(power: float) -> float:
    return 10 * math.log10(max(power, 10 ** (FLOOR_DBFS / 10)))
