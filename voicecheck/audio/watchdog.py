"""Tell a late block of sound from a device that is gone."""

from __future__ import annotations

from voicecheck.clock import Clock

__all__ = ["START_GRACE_S", "Watchdog"]

LATE_BLOCKS = 3
LATE_S = 1.0
START_GRACE_S = 5.0
"""A device may falter for so long after it was opened: virtual devices and
wireless headsets need more than a second until blocks come evenly."""


class Watchdog:
    """Judge by the time since a stream last asked for or gave a block.

    No system tells reliably that a device was unplugged, but every one stops
    calling back.
    """

    def __init__(self, clock: Clock, block_s: float) -> None:
        self._clock = clock
        self._limit_s = max(LATE_BLOCKS * block_s, LATE_S)
        self._opened_s = clock.monotonic_s()
        self._called_s: float | None = None

    @property
    def worked(self) -> bool:
        """Whether the stream has called back at all."""
        return self._called_s is not None

    def called(self, at_s: float) -> None:
        """Note that the stream called back. Safe in the sound thread."""
        self._called_s = at_s

    def barks(self, waiting_since_s: float) -> bool:
        """Whether the device is gone.

        Args:
            waiting_since_s: since when somebody waits for the device. Time
                in which nobody looked, such as a computer asleep, is not held
                against it.
        """
        now_s = self._clock.monotonic_s()
        if now_s - self._opened_s <= START_GRACE_S:
            return False
        called_s = self._opened_s if self._called_s is None else self._called_s
        return now_s - max(waiting_since_s, called_s) > self._limit_s
