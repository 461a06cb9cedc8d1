"""Which device is meant."""

from __future__ import annotations

from dataclasses import replace

import pytest

from voicecheck.audio.device_list import (
    Device,
    Direction,
    choose_device,
    find_again,
    list_devices,
)
from voicecheck.errors import DeviceError
from voicecheck.testing.portaudio import FakePortAudio, fake_device

IN, OUT = Direction.INPUT, Direction.OUTPUT


def yard() -> FakePortAudio:
    """A computer with built-in sound, two headsets and a screen."""
    return FakePortAudio(
        [
            fake_device("Built-in Audio (hw:0,0)", inputs=2, outputs=2),
            fake_device("USB Headset (hw:1,0)", inputs=1, outputs=2, rate_hz=44_100),
            fake_device("USB Headset Pro (hw:2,0)", inputs=1, outputs=2),
            fake_device("Screen (hw:3,0)", outputs=8),
            fake_device("default", inputs=32, outputs=32),
        ],
        default_input=4,
        default_output=3,
    )


def devices() -> tuple[Device, ...]:
    """The yard's devices as we know them."""
    return list_devices(yard())


def test_the_list_tells_all_about_a_device() -> None:
    """Numbers, names, channels, rates and defaults are taken over."""
    assert devices()[1] == Device(
        number=1,
        name="USB Headset (hw:1,0)",
        host_api="ALSA",
        input_channels=1,
        output_channels=2,
        rate_hz=44_100.0,
        default_input=False,
        default_output=False,
    )
    assert [d.number for d in devices() if d.is_default(IN)] == [4]
    assert [d.number for d in devices() if d.is_default(OUT)] == [3]


@pytest.mark.parametrize(
    ("wanted", "direction", "number"),
    [
        (None, IN, 4),
        (None, OUT, 3),
        (1, IN, 1),
        ("2", IN, 2),
        ("built", IN, 0),
        ("PRO headset", IN, 2),
        ("usb headset (hw:1,0)", IN, 1),
        ("Default, ALSA", OUT, 4),
        ("screen", OUT, 3),
    ],
)
def test_numbers_and_parts_of_names_are_understood(
    wanted: str | int | None, direction: Direction, number: int
) -> None:
    """None is the default; words may come in any order and case."""
    assert choose_device(devices(), wanted, direction).number == number


@pytest.mark.parametrize(
    ("wanted", "direction", "listed", "not_listed"),
    [
        ("headset", IN, "1: USB Headset (hw:1,0), ALSA", "Built-in"),
        ("telephone", IN, "0: Built-in Audio", "Screen"),
        (3, IN, "4: default", "Screen"),
        (9, OUT, "3: Screen", "9:"),
        ("", OUT, "3: Screen", "9:"),
    ],
    ids=["two fit", "none fits", "no microphone", "no such number", "no name"],
)
def test_an_unclear_wish_lists_the_choices(
    wanted: str | int, direction: Direction, listed: str, not_listed: str
) -> None:
    """The error lists the devices that can be chosen, and no others."""
    with pytest.raises(DeviceError) as caught:
        choose_device(devices(), wanted, direction)
    assert listed in str(caught.value)
    assert not_listed not in str(caught.value)


def test_one_device_under_several_host_apis_is_no_riddle() -> None:
    """The same name from several drivers is one device: the first is taken."""
    same = [fake_device("Headset", inputs=1, host_api=api) for api in (0, 1, 2)]
    module = FakePortAudio(same, host_apis=("MME", "DirectSound", "WASAPI"))

    found = list_devices(module)

    assert choose_device(found, "headset", IN).number == 0
    assert choose_device(found, "headset wasapi", IN).number == 2


def test_without_a_default_the_first_that_fits_is_taken() -> None:
    """A system that names no default still has a microphone."""
    module = FakePortAudio(
        [fake_device("Screen", outputs=2), fake_device("Headset", inputs=1)],
        default_input=-1,
        default_output=-1,
    )
    assert choose_device(list_devices(module), None, IN).number == 1


@pytest.mark.parametrize("direction", list(Direction))
def test_no_device_at_all_says_plug_one_in(direction: Direction) -> None:
    """The error names what is missing."""
    with pytest.raises(DeviceError, match=f"no {direction.noun}: plug one in"):
        choose_device((), None, direction)


def test_a_broken_list_is_our_error() -> None:
    """PortAudio's refusal to list is translated."""
    with pytest.raises(DeviceError, match="cannot be listed"):
        list_devices(FakePortAudio([], _initialized=0))


@pytest.mark.parametrize(
    ("name", "number"),
    [
        ("USB Headset (hw:1,0)", 1),
        ("USB Headset (hw:7,0)", 1),
        ("USB Headset", 1),
        ("Screen (hw:3,0)", None),
        ("Other (hw:1,0)", None),
    ],
    ids=["same", "moved card", "no card", "no microphone", "another device"],
)
def test_a_lost_device_is_known_by_its_name(name: str, number: int | None) -> None:
    """The card number may have moved; another device is never taken for it."""
    lost = replace(devices()[1], name=name, number=99)

    found = find_again(devices(), lost, IN)

    assert (found.number if found else None) == number


def test_a_lost_device_is_known_by_its_driver() -> None:
    """The same name under another host API is not the same device."""
    lost = replace(devices()[1], host_api="JACK")
    assert find_again(devices(), lost, IN) is None
