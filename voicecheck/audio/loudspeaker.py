"""One loudspeaker: plays a sound to its end, and can be stopped."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from voicecheck.audio.device_list import Device, Direction
from voicecheck.audio.device_stream import DeviceStream
from voicecheck.audio.frames import Frames
from voicecheck.audio.portaudio import PortAudio
from voicecheck.audio.ports import Sound
from voicecheck.audio.resample import resample
from voicecheck.clock import Clock

__all__ = ["Loudspeaker"]

_log = logging.getLogger(__name__)

POLL_S = 0.05
LATENCIES_S = (0.07, 0.15, 0.3)
"""Buffers asked of the driver: the first at first, since a read-back waits for it,
and the next one whenever a sound has stuttered, as it may on a busy computer."""
MOST_UNDERFLOWS = 2
"""So many gaps in one sound are a stutter; a single one happens as it starts."""
LEAD_S = 0.02
"""Silence before a sound, and `TAIL_S` after it, so that nothing is cut."""
TAIL_S = 0.02
WAKING_LEAD_S = 0.3
"""Before the first sound: wireless headsets and amplifiers swallow what comes
while they wake (common practice, no source)."""


class _Playing:
    """One sound on its way out, shared with the sound thread."""

    def __init__(self, frames: Frames) -> None:
        self._frames = frames
        self._position = 0
        self.ended = threading.Event()
        """The last sample has been handed to the driver, or `stop` was called."""

    def rewind(self) -> None:
        """Begin again."""
        self._position = 0

    def next(self, count: int) -> Frames:
        """Return the next `count` samples or fewer."""
        chunk = self._frames[self._position : self._position + count]
        self._position += len(chunk)
        if self._position >= len(self._frames):
            self.ended.set()
        return chunk


class Loudspeaker:
    """Keep a loudspeaker open and play one sound after another.

    The stream runs all the time, with silence between the sounds: it starts at
    once, a wireless link stays awake, and a lost device is noticed.

    Raises:
        DeviceError: the device cannot be opened.
    """

    def __init__(
        self,
        portaudio: PortAudio,
        device: Device,
        clock: Clock,
        *,
        sleep: Callable[[float], None] = time.sleep,
        poll_s: float = POLL_S,
    ) -> None:
        self.device = device
        self.underflows = 0
        """How often the sound may have stuttered."""
        self._underflows_seen = 0
        self._clock = clock
        self._sleep = sleep
        self._poll_s = poll_s
        self._playing: _Playing | None = None
        self._fresh = True
        self._step = 0
        self._stream = DeviceStream(
            portaudio,
            device,
            Direction.OUTPUT,
            clock,
            latency_s=LATENCIES_S[0],
            callback=self._called,
        )
        self._rate_hz = self._stream.form.rate_hz

    @property
    def latency_s(self) -> float:
        """Time between the program and the air, as the driver tells it.

        Raises:
            DeviceLost: the loudspeaker went away.
        """
        return self._stream.latency_s

    def play(self, sound: Sound) -> None:
        """Play and return when the last sample is out, or after `stop`.

        Raises:
            DeviceLost: the loudspeaker went away.
        """
        self._steady()
        playing = _Playing(self._prepared(sound))
        waiting_since_s = self._clock.monotonic_s()
        self._playing = playing
        try:
            while not playing.ended.wait(self._poll_s):
                if not self._stream.check(waiting_since_s):
                    # The driver threw away what it held: say it all again.
                    playing.rewind()
            if self._playing is playing:
                self._sleep(self._stream.latency_s)
        finally:
            self._playing = None

    def stop(self) -> None:
        """Cut short what is playing. Safe from any thread."""
        playing, self._playing = self._playing, None
        if playing is not None:
            playing.ended.set()

    def close(self) -> None:
        """Give the device back. Safe to call twice."""
        self._stream.close()

    def _steady(self) -> None:
        """Ask for a longer buffer when the last sound stuttered."""
        stuttered = self.underflows - self._underflows_seen >= MOST_UNDERFLOWS
        self._underflows_seen = self.underflows
        if stuttered:
            _log.info("%s stuttered: longer buffer", self.device.name)
            self._step = min(self._step + 1, len(LATENCIES_S) - 1)
            self._stream.lengthen(LATENCIES_S[self._step])

    def _prepared(self, sound: Sound) -> Frames:
        """The sound at the device's rate, between two short silences."""
        lead_s = WAKING_LEAD_S if self._fresh else LEAD_S
        self._fresh = False
        frames = np.clip(resample(sound.frames, sound.rate_hz, self._rate_hz), -1, 1)
        lead = np.zeros(round(lead_s * self._rate_hz), dtype=np.float32)
        tail = np.zeros(round(TAIL_S * self._rate_hz), dtype=np.float32)
        return np.concatenate([lead, frames, tail])

    def _called(
        self,
        out: NDArray[np.float32],
        count: int,
        _time: PortAudio,
        status: PortAudio,
    ) -> None:
        """Runs in the sound thread: no waiting, no logging, no computing."""
        out.fill(0.0)
        playing = self._playing
        if playing is None:
            return
        self.underflows += bool(status.output_underflow)
        chunk = playing.next(count)
        out[: len(chunk)] = chunk[:, np.newaxis]
