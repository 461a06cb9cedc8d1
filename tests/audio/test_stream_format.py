"""In which form a device is opened."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from voicecheck.audio.device_list import Device, Direction, list_devices
from voicecheck.audio.stream_format import (
    StreamFormat,
    low_rate_notice,
    usable_format,
)
from voicecheck.errors import DeviceError
from voicecheck.testing.portaudio import FakePortAudio, fake_device

Accepts = Callable[[dict[str, Any]], bool]


def offer(accepts: Accepts, **device: Any) -> tuple[FakePortAudio, Device]:
    """A computer with one device that accepts some forms."""
    module = FakePortAudio([fake_device("Headset", **device)], accepts=accepts)
    return module, list_devices(module)[0]


@pytest.mark.parametrize(
    ("accepts", "rate_hz", "channels"),
    [
        (lambda _: True, 44_100, 1),
        (lambda form: form["channels"] == 2, 44_100, 2),
        (lambda form: form["channels"] == 6, 44_100, 6),
        (lambda form: form["samplerate"] == 16_000, 16_000, 1),
        (lambda form: form["samplerate"] == 48_000 and form["channels"] > 1, 48_000, 2),
    ],
    ids=["as it says", "stereo only", "all six", "voice only", "another rate"],
)
def test_the_own_rate_and_one_channel_come_first(
    accepts: Accepts, rate_hz: int, channels: int
) -> None:
    """What the device names is tried first, then what such devices take."""
    module, device = offer(accepts, inputs=6, rate_hz=44_100)
    wanted = StreamFormat(rate_hz=rate_hz, channels=channels)
    assert usable_format(module, device, Direction.INPUT) == wanted


@pytest.mark.parametrize("direction", list(Direction))
def test_a_device_that_accepts_nothing_is_named(direction: Direction) -> None:
    """The error names the device, the reason and a remedy."""
    module, device = offer(lambda _: False, inputs=1, outputs=1)
    with pytest.raises(DeviceError, match=r"'Headset' cannot be opened .*rate"):
        usable_format(module, device, direction)


def test_no_more_channels_than_there_are_are_asked_for() -> None:
    """A one-channel microphone is never asked for two."""
    asked: list[int] = []
    module, device = offer(lambda form: bool(asked.append(form["channels"])), inputs=1)
    with pytest.raises(DeviceError):
        usable_format(module, device, Direction.INPUT)
    assert set(asked) == {1}


@pytest.mark.parametrize(
    ("own_hz", "opened_hz", "warned"),
    [(8_000, 8_000, True), (8_000, 16_000, True), (16_000, 16_000, False)],
)
def test_telephone_sound_is_warned_of(
    own_hz: float, opened_hz: int, warned: bool
) -> None:
    """8 kHz is told, even where the driver raises it to more."""
    _, device = offer(lambda _: True, inputs=1, rate_hz=own_hz)
    notice = low_rate_notice(device, StreamFormat(rate_hz=opened_hz, channels=1))
    assert (notice is not None) == warned
    assert notice is None or "cable" in notice
