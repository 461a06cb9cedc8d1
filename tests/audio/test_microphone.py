"""One microphone, on a PortAudio without a sound card."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.audio.device_list import list_devices
from voicecheck.audio.floor import FAULT_S, LEARN_S, FloorWatch
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.microphone import KEPT_S, Microphone
from voicecheck.audio.ports import BLOCK
from voicecheck.audio.resample import resample
from voicecheck.clock import ManualClock
from voicecheck.errors import DeviceError, DeviceLost
from voicecheck.testing.portaudio import FakeInputStream, FakePortAudio, fake_device


def noise(samples: int) -> Frames:
    """White noise without a single zero."""
    rng = np.random.default_rng(3)
    return (0.1 + 0.05 * rng.uniform(-1, 1, samples)).astype(np.float32)


class Yard:
    """A microphone that was opened, and the means to feed it."""

    def __init__(self, *, rate_hz: float = 16_000, inputs: int = 1) -> None:
        self.clock = ManualClock()
        device = fake_device("Headset", inputs=inputs, rate_hz=rate_hz)
        self.module = FakePortAudio(
            [device],
            accepts=lambda form: form["channels"] == inputs,
            looked=lambda: self.clock.advance(0.1),
        )
        self.floor = FloorWatch()
        self.microphone = Microphone(
            self.module,
            list_devices(self.module)[0],
            self.clock,
            floor=self.floor,
            poll_s=0,
        )

    @property
    def stream(self) -> FakeInputStream:
        """The stream that the microphone opened."""
        return self.module.inputs[-1]

    def read_all(self) -> Frames:
        """All whole blocks that are there."""
        blocks = [np.zeros(0, dtype=np.float32)]
        self.module.unplug()
        try:
            while True:
                blocks.append(self.microphone.read())
        except DeviceLost:
            return np.concatenate(blocks)


@settings(deadline=None, max_examples=30)
@given(
    rate_hz=st.sampled_from([8_000, 16_000, 44_100, 48_000]),
    cuts=st.lists(st.integers(1, 9_000), max_size=8),
)
def test_however_the_device_cuts_its_blocks_the_sound_is_the_same(
    rate_hz: int, cuts: list[int]
) -> None:
    """Nothing is lost or added at block borders, at any rate."""
    sound = noise(9_000)
    yard = Yard(rate_hz=rate_hz)
    for part in np.split(sound, sorted(cuts)):
        if part.size:
            yard.stream.feed(part)

    heard = yard.read_all()

    assert heard.size % BLOCK == 0
    wanted = resample(sound, rate_hz, RATE_HZ)
    # What the resampler still holds back: less than 0.15 s at any rate.
    assert heard.size > wanted.size - BLOCK - 0.15 * RATE_HZ
    settled = max(0, heard.size - round(0.15 * RATE_HZ))
    np.testing.assert_allclose(heard[:settled], wanted[:settled], atol=1e-6)


def test_a_block_is_what_the_port_promises() -> None:
    """Blocks have BLOCK samples of float32, in the order in which they came."""
    yard = Yard()
    sound = noise(3 * BLOCK)
    yard.stream.feed(sound)

    blocks = [yard.microphone.read() for _ in range(3)]

    assert all(b.shape == (BLOCK,) and b.dtype == np.float32 for b in blocks)
    np.testing.assert_array_equal(np.concatenate(blocks), sound)


@pytest.mark.parametrize("channels", [2, 4])
def test_channels_are_averaged(channels: int) -> None:
    """A microphone of several channels comes out as their mean."""
    yard = Yard(inputs=channels)
    sound = np.stack([noise(BLOCK) * (k + 1) for k in range(channels)], axis=1)
    yard.stream.feed(sound)

    np.testing.assert_allclose(
        yard.microphone.read(), sound.mean(axis=1), rtol=0, atol=1e-6
    )


def test_the_device_is_asked_for_its_own_rate_and_short_blocks() -> None:
    """48 kHz, one channel, 32 ms, float."""
    options = Yard(rate_hz=48_000).stream.options
    assert options["samplerate"] == 48_000
    assert options["channels"] == 1
    assert options["blocksize"] == 1536
    assert options["dtype"] == "float32"


def test_the_callback_keeps_no_hold_on_the_drivers_memory() -> None:
    """The driver may write its buffer anew at once."""
    yard = Yard()
    buffer = np.full((BLOCK, 1), 0.25, dtype=np.float32)
    yard.stream.feed(buffer)
    buffer.fill(-1.0)

    np.testing.assert_array_equal(yard.microphone.read(), np.full(BLOCK, 0.25))


def test_every_overflow_is_counted() -> None:
    """What the driver lost and what did not fit in the queue add up."""
    yard = Yard()
    yard.stream.feed(noise(BLOCK), overflow=True)
    yard.microphone.read()
    assert yard.microphone.overflows == 1

    room = round(KEPT_S / 0.032)
    for _ in range(room + 5):
        yard.stream.feed(noise(BLOCK))
    yard.microphone.discard()
    assert yard.microphone.overflows == 6


@given(keep_s=st.floats(0, 2), given_s=st.floats(0, 1))
@settings(deadline=None, max_examples=25)
def test_discard_keeps_the_last_part(keep_s: float, given_s: float) -> None:
    """Exactly the last `keep_s` seconds stay, or all there is."""
    yard = Yard()
    sound = noise(round(given_s * RATE_HZ))
    if sound.size:
        yard.stream.feed(sound)

    yard.microphone.discard(keep_s)
    yard.stream.feed(noise(BLOCK))

    kept = min(sound.size, round(keep_s * RATE_HZ))
    expected = np.concatenate([sound[sound.size - kept :], noise(BLOCK)])
    heard = yard.read_all()
    np.testing.assert_array_equal(heard, expected[: heard.size])
    assert heard.size == expected.size // BLOCK * BLOCK


def test_a_stopped_stream_is_lost_after_what_came_in_was_read() -> None:
    """Sound from before the loss is still given; then the loss is told."""
    yard = Yard()
    yard.stream.feed(noise(BLOCK))
    yard.module.unplug()

    assert yard.microphone.read().size == BLOCK
    with pytest.raises(DeviceLost, match=r"'Headset' .*unplugged"):
        yard.microphone.read()
    assert yard.clock.monotonic_s() < 0.5


@pytest.mark.parametrize("fed", [0, 1], ids=["never began", "stopped calling"])
def test_a_stream_that_no_longer_calls_is_lost(fed: int) -> None:
    """A stream that claims to run but gives nothing is found out."""
    yard = Yard()
    for _ in range(fed):
        yard.stream.feed(noise(BLOCK // 2))

    with pytest.raises(DeviceLost, match="gives no more sound"):
        yard.microphone.read()
    assert 5.0 < yard.clock.monotonic_s() < 5.3


def test_a_stream_that_stops_calling_later_is_lost_within_about_a_second() -> None:
    """Once it ran, a second without a block is enough."""
    yard = Yard()
    yard.clock.advance(60)
    yard.stream.feed(noise(BLOCK // 2))
    with pytest.raises(DeviceLost, match="gives no more sound"):
        yard.microphone.read()
    assert 61.0 < yard.clock.monotonic_s() < 61.3


def test_a_lost_microphone_stays_lost() -> None:
    """Every further read says so at once, though the device is back."""
    yard = Yard()
    yard.module.unplug()
    with pytest.raises(DeviceLost):
        yard.microphone.read()

    yard.module.plug()
    yard.stream.feed(noise(BLOCK // 2))
    with pytest.raises(DeviceLost):
        yard.microphone.read()


def test_a_driver_that_gave_up_is_started_anew() -> None:
    """Sound goes on without a word to the operator; the gap is counted."""
    yard = Yard()
    yard.stream.feed(noise(BLOCK))
    yard.microphone.read()
    first = yard.stream
    first.running = False
    yard.module.on_start = lambda stream: stream.feed(noise(BLOCK))

    np.testing.assert_array_equal(yard.microphone.read(), noise(BLOCK))
    assert yard.stream is not first
    assert first.closed
    assert yard.microphone.overflows == 1


def test_a_stream_closed_under_our_feet_is_lost() -> None:
    """PortAudio's error about a dead stream is a lost device, too."""
    yard = Yard()
    yard.module._terminate()
    with pytest.raises(DeviceLost):
        yard.microphone.read()


def _feed_seconds(yard: Yard, seconds: float, block: Frames) -> None:
    for _ in range(round(seconds * RATE_HZ / BLOCK)):
        yard.stream.feed(block)
        yard.microphone.read()


def test_a_muted_microphone_is_lost_with_its_own_words() -> None:
    """Zeros from a microphone that never gave any: muted or gone."""
    yard = Yard()
    _feed_seconds(yard, LEARN_S + 0.1, noise(BLOCK))

    with pytest.raises(DeviceLost, match="only zeros: it is muted or gone"):
        _feed_seconds(yard, FAULT_S + 0.1, np.zeros(BLOCK, dtype=np.float32))


def test_a_silent_virtual_device_is_no_fault() -> None:
    """A minute of zeros from the start is only told."""
    yard = Yard()
    _feed_seconds(yard, 60, np.zeros(BLOCK, dtype=np.float32))
    assert yard.microphone.silent_s == pytest.approx(60, abs=0.1)


def test_zeros_found_while_discarding_are_told_at_the_next_read() -> None:
    """Discarding never raises, and hides nothing."""
    yard = Yard()
    _feed_seconds(yard, LEARN_S + 0.1, noise(BLOCK))
    for _ in range(round((FAULT_S + 0.1) * RATE_HZ / BLOCK)):
        yard.stream.feed(np.zeros(BLOCK))
    yard.microphone.discard()

    yard.stream.feed(noise(BLOCK // 2))
    with pytest.raises(DeviceLost, match="only zeros"):
        yard.microphone.read()


def test_settling_waits_for_sound_and_keeps_it() -> None:
    """A device that works is settled, and nothing of its sound is lost."""
    yard = Yard()
    sound = noise(10 * BLOCK)
    yard.stream.feed(sound)

    yard.microphone.settle()

    np.testing.assert_array_equal(yard.microphone.read(), sound[:BLOCK])


def test_settling_tells_a_muted_microphone() -> None:
    """Zeros right after reopening, where there was a floor before, are a loss."""
    yard = Yard()
    for _ in range(1000):
        yard.floor.saw(0.032, zeros=False)
    yard.stream.feed(np.zeros(10 * BLOCK))

    with pytest.raises(DeviceLost, match="only zeros"):
        yard.microphone.settle()


def test_settling_tells_a_dead_microphone() -> None:
    """A stream that never calls is lost after the grace for starting."""
    with pytest.raises(DeviceLost, match="no more sound"):
        Yard().microphone.settle()


def _refuse(module: FakePortAudio) -> None:
    module.refusing.add(0)


def _not_start(module: FakePortAudio) -> None:
    module.not_starting.add(0)


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (_refuse, "'Headset' cannot be opened .*another program"),
        (_not_start, "'Headset' does not start .*no power.*unplug"),
    ],
)
def test_a_device_that_does_not_open_is_an_error_with_a_remedy(
    spoil: Callable[[FakePortAudio], None], words: str
) -> None:
    """Refused or not started: the error names the device, and nothing stays open."""
    module = FakePortAudio([fake_device("Headset", inputs=1)])
    spoil(module)
    with pytest.raises(DeviceError, match=words):
        Microphone(module, list_devices(module)[0], ManualClock())
    assert all(stream.closed for stream in module.inputs)


def test_closing_twice_is_no_error() -> None:
    """The stream is closed once and stays closed."""
    yard = Yard()
    yard.microphone.close()
    yard.microphone.close()
    assert yard.stream.closed


@pytest.mark.parametrize(("rate_hz", "count"), [(8_000, 1), (16_000, 0)])
def test_telephone_sound_is_noticed(rate_hz: float, count: int) -> None:
    """A microphone at 8 kHz carries a notice."""
    yard: Any = Yard(rate_hz=rate_hz)
    assert len(yard.microphone.notices) == count
