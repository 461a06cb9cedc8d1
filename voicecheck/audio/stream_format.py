"""In which form a device is opened: its own rate, as few channels as it takes."""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.audio.device_list import Device, Direction
from voicecheck.audio.portaudio import PortAudio, device_errors

__all__ = ["BLOCK_S", "LOW_RATE_HZ", "StreamFormat", "low_rate_notice", "usable_format"]

BLOCK_S = 0.032
"""Length of the blocks that devices are asked for."""
LOW_RATE_HZ = 8_000
"""Telephone sound, such as a Bluetooth headset's oldest voice link (CVSD)."""
OTHER_RATES_HZ = (48_000, 44_100, 32_000, 16_000)
"""Tried in turn when a device refuses the rate that it names as its own, as
wireless headsets do when they change over to voice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StreamFormat:
    """A form that a device said it can be opened in."""

    rate_hz: int
    channels: int

    @property
    def block(self) -> int:
        """Samples of one channel in a block."""
        return round(self.rate_hz * BLOCK_S)


def usable_format(
    portaudio: PortAudio, device: Device, direction: Direction
) -> StreamFormat:
    """Return the first form that the device accepts.

    One channel is tried before two and before all: devices that have several
    are mostly one microphone copied.

    Raises:
        DeviceError: it accepts none; the text gives the reason for the first.
    """
    check = (
        portaudio.check_input_settings
        if direction is Direction.INPUT
        else portaudio.check_output_settings
    )
    forms = _forms(device, direction)
    for form in forms:
        try:
            _check(check, device, form)
        except portaudio.PortAudioError:
            continue
        return form
    doing = f"the {direction.noun} {device.name!r} cannot be opened"
    with device_errors(portaudio, doing):
        _check(check, device, forms[0])
    return forms[0]


def low_rate_notice(device: Device, form: StreamFormat) -> str | None:
    """Return a warning when the microphone gives no more than telephone sound."""
    if min(form.rate_hz, device.rate_hz) > LOW_RATE_HZ:
        return None
    return (
        f"the microphone {device.name!r} gives telephone sound "
        f"({min(form.rate_hz, device.rate_hz):.0f} Hz): words will be mistaken more "
        "often. Use a headset with a cable or a USB plug, or one with wide-band voice"
    )


def _forms(device: Device, direction: Direction) -> list[StreamFormat]:
    most = device.channels(direction)
    own_hz = round(device.rate_hz)
    rates_hz = dict.fromkeys(rate for rate in (own_hz, *OTHER_RATES_HZ) if rate > 0)
    counts = sorted({count for count in (1, 2, most) if count <= most})
    return [
        StreamFormat(rate_hz=rate_hz, channels=channels)
        for rate_hz in rates_hz
        for channels in counts
    ]


def _check(check: PortAudio, device: Device, form: StreamFormat) -> None:
    check(
        device=device.number,
        channels=form.channels,
        dtype="float32",
        samplerate=form.rate_hz,
    )
