"""One microphone: a stream of blocks at 16 kHz, and what goes wrong with it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.device_list import Device, Direction
from voicecheck.audio.device_stream import DeviceStream
from voicecheck.audio.floor import FloorWatch
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.inbox import Captured, Inbox
from voicecheck.audio.portaudio import PortAudio
from voicecheck.audio.ports import BLOCK
from voicecheck.audio.resample import StreamResampler
from voicecheck.audio.stream_format import BLOCK_S, low_rate_notice
from voicecheck.clock import Clock
from voicecheck.errors import DeviceLost

__all__ = ["POLL_S", "Microphone"]

POLL_S = 0.05
"""How often a waiting reader looks whether the device still lives."""
KEPT_S = 120.0
"""How much sound waits to be read before the oldest is dropped: far longer
than the longest prompt."""
LATENCY_S = 0.25
"""Buffer asked of the driver. It does not delay the blocks; it saves them
while the recogniser keeps Python busy."""
SETTLE_S = 0.25
"""How much sound is looked at to see whether a newly opened microphone lives."""


class Microphone:
    """Open a microphone and read it block by block.

    The callback in the sound thread only copies the block into a queue; all
    else happens in the thread that reads.

    Raises:
        DeviceError: the device cannot be opened.
    """

    def __init__(
        self,
        portaudio: PortAudio,
        device: Device,
        clock: Clock,
        *,
        floor: FloorWatch | None = None,
        poll_s: float = POLL_S,
    ) -> None:
        self.device = device
        self.overflows = 0
        """How often the device or this program lost sound."""
        self._clock = clock
        self._poll_s = poll_s
        self._floor = floor or FloorWatch()
        self._floor.opened()
        self._inbox = Inbox(round(KEPT_S / BLOCK_S))
        self._dropped_seen = 0
        self._pending: Frames = np.zeros(0, dtype=np.float32)
        self._lost: str | None = None
        self._stream = DeviceStream(
            portaudio,
            device,
            Direction.INPUT,
            clock,
            latency_s=LATENCY_S,
            callback=self._called,
        )
        form = self._stream.form
        self._rate_hz = form.rate_hz
        self._resampler = StreamResampler(form.rate_hz, RATE_HZ)
        notice = low_rate_notice(device, form)
        self.notices = (notice,) if notice else ()

    @property
    def silent_s(self) -> float:
        """For how long it has given nothing but digital zeros."""
        return self._floor.silent_s

    def read(self) -> Frames:
        """Return the next block, shape (BLOCK,), at 16 kHz; wait for it.

        Raises:
            DeviceLost: the microphone is gone, or muted.
        """
        self._wait_for(BLOCK)
        block, self._pending = self._pending[:BLOCK], self._pending[BLOCK:]
        return block

    def discard(self, keep_s: float = 0.0) -> None:
        """Forget what came in so far, except the last `keep_s` seconds."""
        pieces = [self._pending]
        while (captured := self._inbox.take(0)) is not None:
            pieces.append(self._absorbed(captured))
        self._pending = np.concatenate(pieces)
        keep = round(keep_s * RATE_HZ)
        self._pending = self._pending[max(0, self._pending.size - keep) :]

    def settle(self) -> None:
        """Wait for the first sound, to see whether the device really works.

        What comes in is kept.

        Raises:
            DeviceLost: nothing comes, or only zeros where there was a floor of
                noise before.
        """
        self._wait_for(round(SETTLE_S * RATE_HZ))
        if self._floor.has_floor and not self._pending.any():
            raise DeviceLost(self._only_zeros())

    def close(self) -> None:
        """Give the device back. Safe to call twice."""
        self._stream.close()

    def _called(
        self,
        samples: NDArray[np.float32],
        _count: int,
        _time: PortAudio,
        status: PortAudio,
    ) -> None:
        """Runs in the sound thread: no waiting, no logging, no computing."""
        at_s = self._clock.monotonic_s()
        self._inbox.put(Captured(samples.copy(), bool(status.input_overflow), at_s))

    def _wait_for(self, count: int) -> None:
        """Wait until `count` samples are there."""
        waiting_since_s = self._clock.monotonic_s()
        while self._pending.size < count:
            captured = self._inbox.take(self._poll_s)
            if captured is not None:
                piece = self._absorbed(captured)
                self._pending = np.concatenate([self._pending, piece])
            else:
                self._check_alive(waiting_since_s)
            if self._lost:
                raise DeviceLost(self._lost)

    def _absorbed(self, captured: Captured) -> Frames:
        """Take note of a block and return its sound, mono at 16 kHz."""
        dropped = self._inbox.dropped
        self.overflows += captured.overflow + dropped - self._dropped_seen
        self._dropped_seen = dropped
        samples = captured.samples
        self._floor.saw(len(samples) / self._rate_hz, zeros=not samples.any())
        if self._floor.fault:
            self._lost = self._only_zeros()
        mono = samples[:, 0] if samples.shape[1] == 1 else samples.mean(axis=1)
        return self._resampler.push(mono)

    def _check_alive(self, waiting_since_s: float) -> None:
        """Note that the device is gone, once nothing is left to read."""
        try:
            if not self._stream.check(waiting_since_s):
                self.overflows += 1
        except DeviceLost as error:
            self._lost = str(error)

    def _only_zeros(self) -> str:
        return (
            f"{self._stream.failure('gives only zeros')}: it is muted or gone. Look "
            "at its mute switch and its plug; the walk waits"
        )
