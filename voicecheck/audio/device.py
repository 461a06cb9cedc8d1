"""The real microphone and loudspeaker of this computer, as one sound link."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Self

from voicecheck.audio.device_list import (
    Device,
    Direction,
    choose_device,
    find_again,
    list_devices,
)
from voicecheck.audio.floor import FloorWatch
from voicecheck.audio.frames import Frames
from voicecheck.audio.loudspeaker import Loudspeaker
from voicecheck.audio.microphone import POLL_S, Microphone
from voicecheck.audio.portaudio import PortAudio, load_portaudio, restart_portaudio
from voicecheck.audio.ports import Sound
from voicecheck.clock import Clock, SystemClock
from voicecheck.errors import DeviceError, DeviceLost

__all__ = ["REOPEN_WAIT_S", "DeviceLink"]

REOPEN_WAIT_S = 0.5
"""How long a vain `reopen` waits before it returns."""

_log = logging.getLogger(__name__)


class DeviceLink:
    """A `voicecheck.audio.ports.SoundLink` on devices that PortAudio drives.

    Have one at a time: `reopen` starts PortAudio anew, which closes every
    stream of the process.

    Args:
        input_device: number, name or part of the name of the microphone; None
            for the system's default.
        output_device: the same for the loudspeaker.
        clock: tells the time; must go with the real time.
        portaudio: the module `sounddevice` or a double; None loads it.
        sleep: waits for some seconds.
        poll_s: how often a waiting call looks whether the device still lives.

    Raises:
        DeviceError: PortAudio is missing, there is no such device, or it
            cannot be opened; the text says what to do.
    """

    def __init__(
        self,
        *,
        input_device: str | int | None = None,
        output_device: str | int | None = None,
        clock: Clock | None = None,
        portaudio: PortAudio | None = None,
        sleep: Callable[[float], None] = time.sleep,
        poll_s: float = POLL_S,
    ) -> None:
        self._clock = clock or SystemClock()
        self._portaudio = load_portaudio() if portaudio is None else portaudio
        self._sleep = sleep
        self._poll_s = poll_s
        self._floor = FloorWatch()
        self._overflows_before = 0
        self._microphone: Microphone | None = None
        self._loudspeaker: Loudspeaker | None = None
        self._player = ThreadPoolExecutor(1, "prompt")
        """Plays what `begin` gets while the microphone is read."""
        self._begun: Future[None] | None = None
        devices = list_devices(self._portaudio)
        self._input = choose_device(devices, input_device, Direction.INPUT)
        self._output = choose_device(devices, output_device, Direction.OUTPUT)
        self._open()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def clock(self) -> Clock:
        """The time by which this link plays and records."""
        return self._clock

    @property
    def input_device(self) -> Device:
        """The microphone."""
        return self._input

    @property
    def output_device(self) -> Device:
        """The loudspeaker."""
        return self._output

    @property
    def overflows(self) -> int:
        """How often sound of the microphone was lost, since the link began."""
        now = self._microphone.overflows if self._microphone else 0
        return self._overflows_before + now

    @property
    def silent_s(self) -> float:
        """For how long the microphone has given nothing but digital zeros.

        Worth a word to the operator when it grows: a switch may be on mute. It
        is no fault by itself (see `voicecheck.audio.floor`).
        """
        return self._floor.silent_s

    @property
    def output_latency_s(self) -> float:
        """Time between the program and the air that the loudspeaker's driver gave.

        Raises:
            DeviceLost: the loudspeaker went away.
        """
        if self._loudspeaker is None:
            raise DeviceLost(_closed(self._output, Direction.OUTPUT))
        return self._loudspeaker.latency_s

    @property
    def notices(self) -> tuple[str, ...]:
        """Sentences about the devices that the operator should read."""
        return self._microphone.notices if self._microphone else ()

    def play(self, sound: Sound) -> None:
        """Play and return when the last sample is out, or after `stop`.

        Raises:
            DeviceLost: the loudspeaker went away.
        """
        if self._loudspeaker is None:
            raise DeviceLost(_closed(self._output, Direction.OUTPUT))
        self._loudspeaker.play(sound)

    def stop(self) -> None:
        """Cut short what is playing. Safe from any thread."""
        if self._loudspeaker is not None:
            self._loudspeaker.stop()

    @property
    def playing(self) -> bool:
        """Whether a begun sound is still being played.

        Raises:
            DeviceLost: the loudspeaker went away meanwhile.
        """
        if self._begun is None:
            return False
        if not self._begun.done():
            return True
        begun, self._begun = self._begun, None
        begun.result()
        return False

    def begin(self, sound: Sound) -> None:
        """Begin to play and return at once."""
        self.stop()
        self._begun = self._player.submit(self.play, sound)

    def read(self) -> Frames:
        """Return the next block of the microphone, shape (BLOCK,), at 16 kHz.

        Raises:
            DeviceLost: the microphone went away, or gives only zeros although
                it never did before.
        """
        if self._microphone is None:
            raise DeviceLost(_closed(self._input, Direction.INPUT))
        return self._microphone.read()

    def discard(self, keep_s: float = 0.0) -> None:
        """Forget what was recorded so far, except the last `keep_s` seconds."""
        if self._microphone is not None:
            self._microphone.discard(keep_s)

    def reopen(self) -> bool:
        """Try to get lost devices back; True when both work again.

        The same two devices are looked for, by name and host API. Waits
        `REOPEN_WAIT_S` before it returns False.
        """
        self.close()
        try:
            restart_portaudio(self._portaudio)
            devices = list_devices(self._portaudio)
            self._input = _again(devices, self._input, Direction.INPUT)
            self._output = _again(devices, self._output, Direction.OUTPUT)
            self._open()
        except DeviceError as error:
            _log.info("the sound devices are not back: %s", error)
            self.close()
            self._sleep(REOPEN_WAIT_S)
            return False
        return True

    def close(self) -> None:
        """Give the devices back. Safe to call twice."""
        if self._microphone is not None:
            self._overflows_before += self._microphone.overflows
            self._microphone.close()
            self._microphone = None
        if self._loudspeaker is not None:
            self._loudspeaker.close()
            self._loudspeaker = None

    def _open(self) -> None:
        """Open both; return when the microphone really gives sound."""
        microphone = Microphone(
            self._portaudio,
            self._input,
            self._clock,
            floor=self._floor,
            poll_s=self._poll_s,
        )
        self._microphone = microphone
        for notice in microphone.notices:
            _log.warning("%s", notice)
        try:
            self._loudspeaker = Loudspeaker(
                self._portaudio,
                self._output,
                self._clock,
                sleep=self._sleep,
                poll_s=self._poll_s,
            )
            microphone.settle()
            _log.info(
                "the loudspeaker %r plays %.0f ms late",
                self._output.name,
                1000 * self._loudspeaker.latency_s,
            )
        except DeviceError:
            self.close()
            raise


def _again(devices: tuple[Device, ...], lost: Device, direction: Direction) -> Device:
    found = find_again(devices, lost, direction)
    if found is None:
        raise DeviceLost(
            f"the {direction.noun} {lost.name!r} is not there: plug it in again"
        )
    return found


def _closed(device: Device, direction: Direction) -> str:
    return (
        f"the {direction.noun} {device.name!r} is closed: plug it in if it is not, "
        "then reopen the link"
    )
