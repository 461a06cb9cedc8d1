"""Voice activity that is computed once for a sound that several engines hear."""

from __future__ import annotations

from voicecheck.audio.activity import Activity, Speech
from voicecheck.audio.frames import Frames

__all__ = ["RememberedActivity"]


class RememberedActivity:
    """Another activity's answers, kept for sounds that begin alike.

    The end-pointing of a trial is the same for every recogniser behind it, and
    costs more than the recogniser: what was computed for a run of blocks since
    the last `reset` is given again for the same run of blocks.
    """

    def __init__(self, inner: Activity) -> None:
        self._inner = inner
        self._blocks: list[Frames] = []
        self._nodes: dict[tuple[int, bytes], int] = {}
        self._answers: list[Speech] = []
        self._at = -1
        self._behind = 0

    def forget(self) -> None:
        """Drop all that is known: the next sound is another."""
        self._nodes.clear()
        self._answers.clear()
        self.reset()

    def reset(self) -> None:
        """Begin a sound."""
        self._blocks.clear()
        self._at = -1
        self._behind = 0

    def probability(self, block: Frames) -> Speech:
        """Return the probability of speech in the next block."""
        key = (self._at, block.tobytes())
        self._blocks.append(block)
        if key not in self._nodes:
            self._answers.append(self._catch_up())
            self._nodes[key] = len(self._answers) - 1
        self._at = self._nodes[key]
        return self._answers[self._at]

    def _catch_up(self) -> Speech:
        """Let the other activity hear what it has not heard since the reset."""
        if self._behind == 0:
            self._inner.reset()
        answers = [self._inner.probability(b) for b in self._blocks[self._behind :]]
        self._behind = len(self._blocks)
        return answers[-1]
