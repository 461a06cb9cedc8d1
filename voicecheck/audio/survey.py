"""What sound devices there are, which would be used, and what one can hear."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from voicecheck.audio.device_list import (
    Device,
    Direction,
    choose_device,
    list_devices,
)
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.level import Level, Loudness, judge_level
from voicecheck.audio.microphone import POLL_S, Microphone
from voicecheck.audio.portaudio import PortAudio
from voicecheck.clock import Clock
from voicecheck.errors import DeviceError

__all__ = ["RECORDED_S", "DeviceSurvey", "survey_devices"]

RECORDED_S = 2.0
"""How long the microphone is listened to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceSurvey:
    """All that was found out."""

    devices: tuple[Device, ...]
    input: Device | None
    """The microphone that would be used."""
    output: Device | None
    """The loudspeaker that would be used."""
    level: Level | None
    """What the microphone heard; None: it could not be listened to."""
    notices: tuple[str, ...]
    """Warnings that do not keep the devices from being used."""
    problems: tuple[str, ...]
    """What keeps a device from being used, each with what to do."""

    @property
    def microphone_usable(self) -> bool:
        """Whether a walk could hear anything."""
        return self.level is not None and self.level.loudness is not Loudness.SILENT


def survey_devices(
    portaudio: PortAudio,
    clock: Clock,
    *,
    wanted_input: str | int | None = None,
    wanted_output: str | int | None = None,
    before_recording: Callable[[Device], None] = lambda _: None,
    poll_s: float = POLL_S,
) -> DeviceSurvey:
    """List the devices, choose two, and listen to the microphone.

    Args:
        portaudio: the module `sounddevice` or a double.
        clock: the real time.
        wanted_input: number or part of the name of the microphone.
        wanted_output: the same for the loudspeaker.
        before_recording: called once the microphone is open, so that the
            person can be asked to speak.
        poll_s: how often it is looked whether the microphone still lives.

    Raises:
        DeviceError: the devices cannot even be listed.
    """
    devices = list_devices(portaudio)
    problems: list[str] = []
    microphone = _chosen(devices, wanted_input, Direction.INPUT, problems)
    loudspeaker = _chosen(devices, wanted_output, Direction.OUTPUT, problems)
    level = None
    notices: tuple[str, ...] = ()
    if microphone is not None:
        try:
            opened = Microphone(portaudio, microphone, clock, poll_s=poll_s)
            try:
                notices = opened.notices
                level = judge_level(_listen(opened, before_recording))
                notices += _overflow_notice(opened.overflows)
            finally:
                opened.close()
        except DeviceError as error:
            problems.append(str(error))
    return DeviceSurvey(
        devices=devices,
        input=microphone,
        output=loudspeaker,
        level=level,
        notices=notices,
        problems=tuple(problems),
    )


def _chosen(
    devices: tuple[Device, ...],
    wanted: str | int | None,
    direction: Direction,
    problems: list[str],
) -> Device | None:
    try:
        return choose_device(devices, wanted, direction)
    except DeviceError as error:
        problems.append(str(error))
        return None


def _listen(
    microphone: Microphone, before_recording: Callable[[Device], None]
) -> Frames:
    before_recording(microphone.device)
    # The first block: a device that is slow to start must not eat the time.
    microphone.read()
    microphone.discard()
    blocks = [microphone.read()]
    while sum(block.size for block in blocks) < RECORDED_S * RATE_HZ:
        blocks.append(microphone.read())
    return np.concatenate(blocks)


def _overflow_notice(overflows: int) -> tuple[str, ...]:
    if overflows == 0:
        return ()
    return (
        f"sound was lost {overflows} times in {RECORDED_S:g} seconds: close other "
        "programs that keep this computer busy",
    )
