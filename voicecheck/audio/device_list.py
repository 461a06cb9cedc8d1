"""Which sound devices there are, and which one is meant."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any

from voicecheck.audio.portaudio import PortAudio, device_errors
from voicecheck.errors import DeviceError

__all__ = [
    "Device",
    "Direction",
    "choose_device",
    "find_again",
    "list_devices",
]


class Direction(Enum):
    """Which way sound goes, seen from the program."""

    INPUT = "input"
    OUTPUT = "output"

    @property
    def noun(self) -> str:
        """What people call a device of this direction."""
        return "microphone" if self is Direction.INPUT else "loudspeaker"


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """One device as PortAudio lists it."""

    number: int
    """Valid until PortAudio starts again; after that it may be another device."""
    name: str
    host_api: str
    """The kind of driver behind it, such as "ALSA" or "Core Audio"."""
    input_channels: int
    output_channels: int
    rate_hz: float
    """The rate that the device names as its own."""
    default_input: bool
    default_output: bool

    def channels(self, direction: Direction) -> int:
        """How many channels it has in this direction; 0: it has none."""
        if direction is Direction.INPUT:
            return self.input_channels
        return self.output_channels

    def is_default(self, direction: Direction) -> bool:
        """Whether the system's settings name it for this direction."""
        if direction is Direction.INPUT:
            return self.default_input
        return self.default_output


def list_devices(portaudio: PortAudio) -> tuple[Device, ...]:
    """Return every device, in PortAudio's order.

    Raises:
        DeviceError: PortAudio cannot tell.
    """
    with device_errors(portaudio, "the sound devices cannot be listed"):
        host_apis = [api["name"] for api in portaudio.query_hostapis()]
        defaults = tuple(portaudio.default.device)
        return tuple(
            _device(number, entry, host_apis, defaults)
            for number, entry in enumerate(portaudio.query_devices())
        )


def choose_device(
    devices: Sequence[Device], wanted: str | int | None, direction: Direction
) -> Device:
    """Return the device that a person means.

    Args:
        devices: all that there are.
        wanted: a number of the list; a name or words out of it, in any case;
            None for the system's default.
        direction: what the device is needed for.

    Raises:
        DeviceError: there is none, or several could be meant; the text lists
            the choices.
    """
    able = [device for device in devices if device.channels(direction) > 0]
    if not able:
        raise DeviceError(
            f"there is no {direction.noun}: plug one in, and look whether the "
            "system's sound settings show it"
        )
    if wanted is None:
        return next((d for d in able if d.is_default(direction)), able[0])
    text = str(wanted).strip()
    if text.isdecimal():
        found = [device for device in able if device.number == int(text)]
    else:
        found = _named(able, text)
    if len(found) == 1:
        return found[0]
    problem = "several of these fit" if found else "none of these is"
    raise DeviceError(
        f"{problem} the {direction.noun} {text!r}; choose by number or by a longer "
        f"part of the name:\n{_choices(found or able)}"
    )


def find_again(
    devices: Sequence[Device], lost: Device, direction: Direction
) -> Device | None:
    """Return the device that was lost, under its present number, or None.

    It is known by its name and its host API, as numbers move when something
    is plugged in. ALSA puts a card number into the name, which may move too:
    the same name without it is taken when no exact one is there.
    """
    able = [
        device
        for device in devices
        if device.channels(direction) > 0 and device.host_api == lost.host_api
    ]
    for device in able:
        if device.name == lost.name:
            return device
    for device in able:
        if _without_card(device.name) == _without_card(lost.name):
            return device
    return None


def _device(
    number: int,
    entry: Mapping[str, Any],
    host_apis: Sequence[str],
    defaults: tuple[Any, ...],
) -> Device:
    return Device(
        number=number,
        name=str(entry["name"]),
        host_api=host_apis[entry["hostapi"]],
        input_channels=int(entry["max_input_channels"]),
        output_channels=int(entry["max_output_channels"]),
        rate_hz=float(entry["default_samplerate"]),
        default_input=defaults[0] == number,
        default_output=defaults[1] == number,
    )


def _named(devices: Sequence[Device], text: str) -> list[Device]:
    """Devices whose name is `text`, or else holds all its words."""
    wanted = text.casefold()
    exact = [d for d in devices if wanted in (d.name.casefold(), _full(d))]
    words = wanted.split()
    partial = [d for d in devices if words and all(w in _full(d) for w in words)]
    found = exact or partial
    if len({device.name for device in found}) == 1 and len(found) > 1:
        # Windows lists one device once for each host API.
        return found[:1]
    return found


def _full(device: Device) -> str:
    return f"{device.name}, {device.host_api}".casefold()


def _without_card(name: str) -> str:
    return re.sub(r"\s*\(hw:\d+,\d+\)", "", name)


def _choices(devices: Iterable[Device]) -> str:
    return "\n".join(f"  {d.number}: {d.name}, {d.host_api}" for d in devices)
