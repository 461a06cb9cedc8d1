"""How loud the blocks of an utterance are, against background and peak."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

import numpy as np

from voicecheck.audio.frames import Frames

__all__ = ["SpeechLevels"]

_BACKGROUND_BLOCKS = 32
_LEAST_BLOCKS = 4
"""With less background before the word, its level is not known well enough."""
_PEAK_PERCENTILE = 90
_FLOOR = 1e-12


class SpeechLevels:
    """Know the background before an utterance and the loud parts in it."""

    def __init__(self) -> None:
        self._recent: deque[float] = deque()
        self.clear()

    def clear(self) -> None:
        """Forget all."""
        self._recent.clear()
        self._loud: list[float] = []
        self._peak_db = -np.inf
        self._floor_db: float | None = None

    def background(self, block: Frames, begin_blocks: int) -> None:
        """Take note of a block before an utterance.

        Args:
            block: mono sound.
            begin_blocks: the last so many may be speech already.
        """
        self._recent.append(_level_db(block))
        while len(self._recent) > _BACKGROUND_BLOCKS + begin_blocks:
            self._recent.popleft()

    def begin(self, speech: Iterable[Frames]) -> None:
        """An utterance began with these blocks, the last of those noted."""
        self._loud = [_level_db(block) for block in speech]
        before = list(self._recent)[: -len(self._loud) or None]
        known = len(before) >= _LEAST_BLOCKS
        self._floor_db = float(np.median(before)) if known else None
        self._recent.clear()

    def note(self, block: Frames) -> None:
        """Take note of a block of the utterance, mono sound."""
        self._loud.append(_level_db(block))
        self._peak_db = float(np.percentile(self._loud, _PEAK_PERCENTILE))

    @property
    def stands_out_db(self) -> float:
        """How far its loud parts lie over the background; infinite: not known."""
        return np.inf if self._floor_db is None else self._peak_db - self._floor_db

    def is_loud(self, over_db: float, under_db: float) -> bool:
        """Tell whether the block noted last may be speech.

        Args:
            over_db: how far speech lies over the background.
            under_db: how far at most under the loud parts so far.
        """
        if self._floor_db is None:
            return True
        least_db = max(self._floor_db + over_db, self._peak_db - under_db)
        return self._loud[-1] >= least_db


def _level_db(block: Frames) -> float:
    return float(10 * np.log10(np.mean(np.square(block)) + _FLOOR))
