"""Microphone and loudspeaker as one link, on a PortAudio without a sound card."""

from __future__ import annotations

import logging
from typing import Any

import numpy as np
import pytest

from voicecheck.audio.device import REOPEN_WAIT_S, DeviceLink
from voicecheck.audio.floor import LEARN_S
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.ports import BLOCK, Sound, SoundLink
from voicecheck.clock import ManualClock
from voicecheck.errors import DeviceError, DeviceLost
from voicecheck.testing.portaudio import FakeInputStream, FakePortAudio, fake_device

HISS = np.full(RATE_HZ, 0.01, dtype=np.float32)
PROMPT = Sound(frames=np.full(4000, 0.2, dtype=np.float32), rate_hz=16_000)


def headset(card: int = 1, **more: Any) -> dict[str, Any]:
    """A wired headset."""
    name = f"USB Headset (hw:{card},0)"
    return fake_device(name, inputs=1, outputs=2, **({"rate_hz": 16_000} | more))


class Yard:
    """A computer with a headset, and a link that was opened on it."""

    def __init__(self, **link: Any) -> None:
        self.clock = ManualClock()
        self.sound: Frames = HISS
        self.module = FakePortAudio(
            [fake_device("Screen", outputs=2), headset()],
            default_input=1,
            default_output=1,
            looked=lambda: self.clock.advance(0.032),
            on_start=self.begin,
        )
        self.link = DeviceLink(
            clock=self.clock,
            portaudio=self.module,
            sleep=self.clock.advance,
            poll_s=0,
            **link,
        )

    def begin(self, stream: FakeInputStream) -> None:
        """What a microphone gives as soon as it starts."""
        if self.sound.size:
            stream.feed(self.sound)

    def unplug(self) -> None:
        """Pull the headset out: its streams end, and it is no longer listed."""
        self.module.unplug()
        self.link.discard()
        self.module.replugged = [fake_device("Screen", outputs=2)]

    def plug(self, card: int = 1) -> None:
        """Plug it in again; it may get another number."""
        self.module.plug()
        self.module.replugged = [headset(card), fake_device("Screen", outputs=2)]


def test_the_link_is_a_sound_link() -> None:
    """What the dialogue asks of sound, the real devices give."""
    link: SoundLink = Yard().link
    assert isinstance(link.clock, ManualClock)
    assert link.read().shape == (BLOCK,)
    link.play(PROMPT)
    link.discard()
    link.close()


def test_sound_that_came_while_a_prompt_played_is_kept() -> None:
    """An answer given into the prompt can still be read."""
    yard = Yard()
    yard.link.discard()
    yard.module.inputs[0].feed(np.full(BLOCK, 0.3))
    yard.link.play(PROMPT)
    np.testing.assert_allclose(yard.link.read(), 0.3, atol=1e-6)


def test_devices_are_chosen_by_number_and_name() -> None:
    """Each direction may be another device."""
    link = Yard(input_device="headset", output_device="0").link
    assert link.input_device.name == "USB Headset (hw:1,0)"
    assert link.output_device.name == "Screen"


@pytest.mark.parametrize("wish", ["input_device", "output_device"])
def test_a_wish_that_fits_nothing_lists_the_choices(wish: str) -> None:
    """The error comes before anything is opened."""
    with pytest.raises(DeviceError, match="USB Headset"):
        Yard(**{wish: "telephone"})


def test_a_loudspeaker_that_does_not_open_gives_the_microphone_back() -> None:
    """No stream stays open after a failed start."""
    module = FakePortAudio(
        [fake_device("Screen", outputs=2), headset()], default_input=1, refusing={0}
    )
    with pytest.raises(DeviceError, match="'Screen'"):
        DeviceLink(portaudio=module, clock=ManualClock(), output_device="Screen")
    assert [stream.closed for stream in module.inputs] == [True]


def test_a_microphone_that_gives_nothing_is_told_when_the_link_opens() -> None:
    """Better an error at the start than a walk that hears nobody."""
    clock = ManualClock()
    module = FakePortAudio(
        [headset()], looked=lambda: clock.advance(0.1), default_output=0
    )
    with pytest.raises(DeviceError, match="gives no more sound"):
        DeviceLink(portaudio=module, clock=clock, poll_s=0)
    assert all(s.closed for s in (*module.inputs, *module.outputs))


@pytest.mark.parametrize("card", [1, 4], ids=["same number", "another number"])
def test_a_headset_that_comes_back_is_found_again(card: int) -> None:
    """Unplugged, tried in vain, plugged in: sound goes on."""
    yard = Yard()
    yard.unplug()
    with pytest.raises(DeviceLost):
        yard.link.read()

    before_s = yard.clock.monotonic_s()
    assert not yard.link.reopen()
    assert yard.clock.monotonic_s() - before_s == pytest.approx(REOPEN_WAIT_S)

    yard.plug(card)
    assert yard.link.reopen()
    assert yard.link.input_device.number == 0
    assert yard.link.read().shape == (BLOCK,)
    yard.link.play(PROMPT)
    assert np.any(yard.module.outputs[-1].heard)


def test_while_the_devices_are_away_every_use_says_so() -> None:
    """Between two attempts, reading and playing are lost; discarding is idle."""
    yard = Yard()
    yard.unplug()
    yard.link.reopen()

    yard.link.discard()
    yard.link.stop()
    with pytest.raises(DeviceLost, match=r"microphone .* closed"):
        yard.link.read()
    with pytest.raises(DeviceLost, match=r"loudspeaker .* closed"):
        yard.link.play(PROMPT)


def test_another_headset_is_not_taken_for_the_lost_one() -> None:
    """Sound never comes out of a device that nobody chose."""
    yard = Yard()
    yard.unplug()
    yard.module.plug()
    other = fake_device("Other Headset (hw:1,0)", inputs=1, outputs=2)
    yard.module.replugged = [other]
    assert not yard.link.reopen()


@pytest.mark.parametrize("knob", ["broken_start", "refusing", "not_starting"])
def test_whatever_fails_while_reopening_is_tried_again(knob: str) -> None:
    """A failure of any step gives False, and the next attempt can succeed."""
    yard = Yard()
    yard.plug()
    healthy = getattr(yard.module, knob)
    setattr(yard.module, knob, True if knob == "broken_start" else {0})
    assert not yard.link.reopen()

    setattr(yard.module, knob, healthy)
    assert yard.link.reopen()


def test_a_muted_headset_is_not_back_until_it_is_unmuted() -> None:
    """Zeros after reopening, from a device with a floor of noise, are no success."""
    yard = Yard()
    for _ in range(round(LEARN_S + 2)):
        yard.module.inputs[-1].feed(HISS)
    yard.link.discard()
    yard.module.inputs[-1].feed(np.zeros(3 * RATE_HZ))
    with pytest.raises(DeviceLost, match="muted"):
        yard.link.read()

    yard.sound = np.zeros(RATE_HZ, dtype=np.float32)
    assert not yard.link.reopen()
    yard.sound = HISS
    assert yard.link.reopen()
    assert np.any(yard.link.read())


def test_overflows_are_counted_over_reopening() -> None:
    """The record can tell how much was lost during the whole walk."""
    yard = Yard()
    yard.module.inputs[-1].feed(HISS, overflow=True)
    yard.link.discard()
    assert yard.link.overflows == 1

    yard.plug()
    assert yard.link.reopen()
    yard.module.inputs[-1].feed(HISS, overflow=True)
    yard.link.discard()
    assert yard.link.overflows == 2
    yard.link.close()
    assert yard.link.overflows == 2


def test_silence_of_the_microphone_can_be_asked_for() -> None:
    """For how long only zeros came is told, without being a fault."""
    yard = Yard()
    yard.module.inputs[-1].feed(np.zeros(5 * RATE_HZ))
    yard.link.discard()
    assert yard.link.silent_s == pytest.approx(5)


def test_telephone_sound_is_warned_of(caplog: pytest.LogCaptureFixture) -> None:
    """A microphone at 8 kHz is told in the log and in the link's notices."""
    module = FakePortAudio(
        [headset(rate_hz=8_000)], on_start=lambda stream: stream.feed(HISS)
    )
    with caplog.at_level(logging.WARNING):
        link = DeviceLink(portaudio=module, clock=ManualClock(), poll_s=0)
    assert "8000 Hz" in link.notices[0]
    assert link.notices[0] in caplog.messages
    link.close()
    assert link.notices == ()


def test_closing_gives_both_devices_back_and_may_be_repeated() -> None:
    """A link used in a `with` block is closed at its end."""
    yard = Yard()
    with yard.link:
        pass
    yard.link.close()
    assert yard.module.inputs[0].closed
    assert yard.module.outputs[0].closed
