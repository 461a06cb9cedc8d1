"""The bounded queue between the sound thread and the program."""

from __future__ import annotations

import queue
from contextlib import suppress
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Captured", "Inbox"]


@dataclass(frozen=True, slots=True, eq=False)
class Captured:
    """One block as the device gave it."""

    samples: NDArray[np.float32]
    """Shape (n, channels)."""
    overflow: bool
    """The device says that sound was lost just before this block."""
    at_s: float
    """When the callback ran."""


class Inbox:
    """Keep the newest blocks; what is too old falls out and is counted."""

    def __init__(self, blocks: int) -> None:
        self._queue: queue.Queue[Captured] = queue.Queue(blocks)
        self.dropped = 0

    def put(self, block: Captured) -> None:
        """Add a block without ever waiting. For the sound thread."""
        try:
            self._queue.put_nowait(block)
        except queue.Full:
            self.dropped += 1
            with suppress(queue.Empty):
                self._queue.get_nowait()
            with suppress(queue.Full):
                self._queue.put_nowait(block)

    def take(self, wait_s: float) -> Captured | None:
        """Return the oldest block, or None when none comes in `wait_s`."""
        try:
            return self._queue.get(timeout=wait_s) if wait_s else self._queue.get(False)
        except queue.Empty:
            return None
