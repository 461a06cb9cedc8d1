"""One open stream of one device: started, watched, opened anew if it gives up."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Any

from voicecheck.audio.device_list import Device, Direction
from voicecheck.audio.portaudio import PortAudio, device_errors
from voicecheck.audio.stream_format import BLOCK_S, usable_format
from voicecheck.audio.watchdog import Watchdog
from voicecheck.clock import Clock
from voicecheck.errors import DeviceError, DeviceLost

__all__ = ["LONGEST_LATENCY_S", "DeviceStream"]

REST_S = 2.0
"""A driver that gives up twice within this time is beyond help."""
LONGEST_LATENCY_S = 1.0
"""Drivers have been seen to report nonsense; no real one is longer."""


class DeviceStream:
    """Keep a stream running.

    Args:
        portaudio: the module `sounddevice` or a double.
        device: which device.
        direction: to listen or to play.
        clock: the real time.
        latency_s: buffer asked of the driver.
        callback: called in the sound thread for each block, as the library
            calls it; may be called before this constructor returns.

    Raises:
        DeviceError: the device cannot be opened or started.
    """

    def __init__(
        self,
        portaudio: PortAudio,
        device: Device,
        direction: Direction,
        clock: Clock,
        *,
        latency_s: float,
        callback: Callable[..., None],
    ) -> None:
        self.restarts = 0
        """How often the driver gave up and was started anew."""
        self._portaudio = portaudio
        self._device = device
        self._direction = direction
        self._clock = clock
        self._asked_latency_s = latency_s
        self._callback = callback
        self._closed = False
        self._restarted_s: float | None = None
        self.form = usable_format(portaudio, device, direction)
        self._open()

    @property
    def latency_s(self) -> float:
        """Delay between the program and the air, as the driver tells it.

        Raises:
            DeviceLost: the stream is gone.
        """
        with device_errors(self._portaudio, self.failure("is gone"), DeviceLost):
            return min(max(0.0, float(self._stream.latency)), LONGEST_LATENCY_S)

    def lengthen(self, latency_s: float) -> None:
        """Open anew with a longer buffer; what the driver held is lost.

        Raises:
            DeviceLost: the device does not come back.
        """
        if self._closed or latency_s <= self._asked_latency_s:
            return
        self._asked_latency_s = latency_s
        self._shut()
        try:
            self._open()
        except DeviceError as error:
            raise DeviceLost(self._gone()) from error

    def check(self, waiting_since_s: float) -> bool:
        """Look whether the device lives, while somebody waits for it.

        A driver that gave up, as some do after a stutter, is opened anew, if
        it had worked since it was opened and did not give up just before.

        Returns:
            True when it goes on, False when it was opened anew: what it held
            is lost.

        Raises:
            DeviceLost: the device is gone.
        """
        if self._active():
            if self._watchdog.barks(waiting_since_s):
                raise DeviceLost(self._gone())
            return True
        may_reopen = self._watchdog.worked and self._rested() and not self._closed
        self._shut()
        if not may_reopen:
            raise DeviceLost(self._gone())
        try:
            self._open()
        except DeviceError as error:
            raise DeviceLost(self._gone()) from error
        self.restarts += 1
        self._restarted_s = self._clock.monotonic_s()
        return False

    def close(self) -> None:
        """Give the device back. Safe to call twice."""
        self._closed = True
        self._shut()

    def failure(self, what: str) -> str:
        """Begin a sentence about this device."""
        return f"the {self._direction.noun} {self._device.name!r} {what}"

    def _open(self) -> None:
        self._watchdog = Watchdog(self._clock, BLOCK_S)
        make = (
            self._portaudio.InputStream
            if self._direction is Direction.INPUT
            else self._portaudio.OutputStream
        )
        with device_errors(self._portaudio, self.failure("cannot be opened")):
            self._stream = make(
                device=self._device.number,
                samplerate=self.form.rate_hz,
                channels=self.form.channels,
                blocksize=self.form.block,
                dtype="float32",
                latency=self._asked_latency_s,
                callback=self._called,
            )
        try:
            with device_errors(self._portaudio, self.failure("does not start")):
                self._stream.start()
        except DeviceError:
            self._shut()
            raise

    def _called(self, *block: Any) -> None:
        """Runs in the sound thread: no waiting, no logging, no computing."""
        self._watchdog.called(self._clock.monotonic_s())
        self._callback(*block)

    def _shut(self) -> None:
        with suppress(self._portaudio.PortAudioError):
            self._stream.abort()
        with suppress(self._portaudio.PortAudioError):
            self._stream.close()

    def _active(self) -> bool:
        try:
            return bool(self._stream.active)
        except self._portaudio.PortAudioError:
            return False

    def _rested(self) -> bool:
        if self._restarted_s is None:
            return True
        return self._clock.monotonic_s() - self._restarted_s > REST_S

    def _gone(self) -> str:
        what = (
            "gives no more sound"
            if self._direction is Direction.INPUT
            else "takes no more sound"
        )
        return (
            f"{self.failure(what)}: it was unplugged or its driver stopped. "
            "Plug it in again; the walk waits"
        )
