"""One loudspeaker, on a PortAudio without a sound card."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.device_list import list_devices
from voicecheck.audio.loudspeaker import LATENCIES_S, Loudspeaker
from voicecheck.audio.ports import Sound
from voicecheck.audio.resample import resample
from voicecheck.clock import ManualClock
from voicecheck.errors import DeviceError, DeviceLost
from voicecheck.testing.portaudio import FakeOutputStream, FakePortAudio, fake_device


def chirp(seconds: float = 0.3, rate_hz: int = 22_050) -> Sound:
    """A sweep that is never zero for long."""
    time_s = np.arange(round(seconds * rate_hz)) / rate_hz
    frames = 0.5 * np.sin(2 * np.pi * (300 + 900 * time_s) * time_s)
    return Sound(frames=frames.astype(np.float32), rate_hz=rate_hz)


class Yard:
    """A loudspeaker that was opened, and what it gave."""

    def __init__(self, *, outputs: int = 1, rate_hz: float = 48_000) -> None:
        self.clock = ManualClock()
        device = fake_device("Headset", outputs=outputs, rate_hz=rate_hz)
        self.module = FakePortAudio(
            [device],
            accepts=lambda form: form["channels"] == outputs,
            looked=lambda: self.clock.advance(0.032),
        )
        self.loudspeaker = Loudspeaker(
            self.module,
            list_devices(self.module)[0],
            self.clock,
            sleep=self.clock.advance,
            poll_s=0,
        )

    @property
    def stream(self) -> FakeOutputStream:
        """The stream that the loudspeaker opened."""
        return self.module.outputs[-1]


@pytest.mark.parametrize("rate_hz", [16_000, 22_050, 44_100, 48_000])
def test_all_of_a_sound_comes_out_at_the_devices_rate(rate_hz: float) -> None:
    """Between silences, every sample is there and in order."""
    yard = Yard(rate_hz=rate_hz)
    sound = chirp()

    yard.loudspeaker.play(sound)

    wanted = resample(sound.frames, sound.rate_hz, rate_hz)
    heard = yard.stream.heard
    start = round(0.3 * rate_hz)
    np.testing.assert_array_equal(heard[:start], 0)
    np.testing.assert_allclose(heard[start : start + wanted.size], wanted, atol=1e-6)
    np.testing.assert_array_equal(heard[start + wanted.size :], 0)


def test_the_first_sound_has_the_longest_lead() -> None:
    """A waking headset is given time once; later prompts start at once."""
    yard = Yard()
    yard.loudspeaker.play(chirp())
    first_s = yard.clock.monotonic_s()
    yard.loudspeaker.play(chirp())
    second_s = yard.clock.monotonic_s() - first_s
    assert first_s - second_s == pytest.approx(0.28, abs=0.04)


def test_play_returns_when_the_last_sample_is_out() -> None:
    """Not before its length, its silences and the driver's delay have passed."""
    yard = Yard()
    yard.loudspeaker.play(chirp(1.0))
    least_s = 0.3 + 1.0 + 0.02 + yard.stream.latency
    assert least_s <= yard.clock.monotonic_s() < least_s + 0.07


def test_nonsense_about_the_delay_is_not_believed() -> None:
    """A driver that claims an hour does not stop the walk."""
    yard = Yard()
    yard.stream.latency = 3600.0
    yard.loudspeaker.play(chirp())
    assert yard.clock.monotonic_s() < 2


def test_every_channel_gets_the_sound() -> None:
    """Left and right are the same."""
    yard = Yard(outputs=2)
    yard.loudspeaker.play(chirp())
    both = np.concatenate(yard.stream.blocks)
    assert np.any(both)
    np.testing.assert_array_equal(both[:, 0], both[:, 1])


def test_silence_is_played_between_sounds() -> None:
    """With nothing to say, the device gets zeros, never what lay in its buffer."""
    yard = Yard()
    yard.stream.pull()
    np.testing.assert_array_equal(yard.stream.heard, 0)


def test_too_loud_a_sound_is_clipped() -> None:
    """Samples beyond full scale come out as full scale."""
    yard = Yard()
    yard.loudspeaker.play(Sound(frames=10 * chirp().frames, rate_hz=22_050))
    assert np.max(np.abs(yard.stream.heard)) == 1.0


def test_stop_cuts_a_sound_short() -> None:
    """After `stop`, play returns and the rest is never heard."""
    yard = Yard()
    looks = []

    def look() -> None:
        looks.append(1)
        yard.clock.advance(0.032)
        if len(looks) == 20:
            yard.loudspeaker.stop()

    yard.module.looked = look
    yard.loudspeaker.play(chirp(5.0))
    yard.stream.pull()

    assert yard.clock.monotonic_s() < 1.0
    np.testing.assert_array_equal(yard.stream.blocks[-1], 0)


def test_stop_with_nothing_playing_does_nothing() -> None:
    """And the next sound is played whole."""
    yard = Yard()
    yard.loudspeaker.stop()
    yard.loudspeaker.play(chirp())
    assert np.count_nonzero(yard.stream.heard) > 10_000


def test_a_loudspeaker_that_stops_is_lost() -> None:
    """A stream that ended and cannot be opened again tells so at once."""
    yard = Yard()
    yard.module.unplug()
    with pytest.raises(DeviceLost, match="'Headset' takes no more sound"):
        yard.loudspeaker.play(chirp())
    assert yard.clock.monotonic_s() < 0.1


def test_a_loudspeaker_that_hangs_is_lost() -> None:
    """A stream that claims to run but asks for nothing is found out."""
    yard = Yard()
    yard.module.stalled = True
    with pytest.raises(DeviceLost, match="unplugged"):
        yard.loudspeaker.play(chirp())
    assert 5 < yard.clock.monotonic_s() < 5.2


def test_a_loudspeaker_lost_while_playing_is_told() -> None:
    """Pulled out in the middle: the error comes within about a second."""
    yard = Yard()
    yard.clock.advance(60)

    def look() -> None:
        yard.clock.advance(0.032)
        yard.module.stalled = yard.clock.monotonic_s() > 61

    yard.module.looked = look
    with pytest.raises(DeviceLost):
        yard.loudspeaker.play(chirp(10.0))
    assert 62 < yard.clock.monotonic_s() < 62.2


def test_a_driver_that_gave_up_is_started_anew() -> None:
    """The whole sound is said again on a new stream."""
    yard = Yard()
    first = yard.stream
    looks = []

    def look() -> None:
        looks.append(1)
        yard.clock.advance(0.032)
        first.running = len(looks) < 15

    yard.module.looked = look
    yard.loudspeaker.play(chirp(1.0))

    assert yard.stream is not first
    assert first.closed
    wanted = resample(chirp(1.0).frames, 22_050, 48_000)
    start = round(0.3 * 48_000)
    heard = yard.stream.heard[start : start + wanted.size]
    np.testing.assert_allclose(heard, wanted, atol=1e-6)


def test_a_driver_that_keeps_giving_up_is_lost() -> None:
    """It is not started anew for ever."""
    yard = Yard()

    def look() -> None:
        yard.clock.advance(0.032)
        if len(yard.stream.blocks) > 5:
            yard.stream.running = False

    yard.module.looked = look
    with pytest.raises(DeviceLost):
        yard.loudspeaker.play(chirp(5.0))
    assert len(yard.module.outputs) == 2


def test_a_driver_that_gives_up_now_and_then_is_borne_with() -> None:
    """Once in a while it is started anew each time."""
    yard = Yard()
    for _ in range(4):
        yard.loudspeaker.play(chirp(0.1))
        yard.stream.running = False
        yard.clock.advance(10)
    yard.loudspeaker.play(chirp(0.1))
    assert len(yard.module.outputs) == 5


def test_a_stream_closed_under_our_feet_is_lost() -> None:
    """PortAudio's error about a dead stream is a lost device, too."""
    yard = Yard()
    yard.module._terminate()
    with pytest.raises(DeviceLost):
        yard.loudspeaker.play(chirp())


def test_stuttering_is_counted_only_while_something_plays() -> None:
    """An underflow of silence is no stutter."""
    yard = Yard()
    yard.stream.pull(underflow=True)
    assert yard.loudspeaker.underflows == 0

    yard.module.looked = lambda: yard.stream.pull(underflow=True)
    yard.loudspeaker.play(chirp())
    assert yard.loudspeaker.underflows > 0


def test_a_loudspeaker_that_stuttered_gets_a_longer_buffer() -> None:
    """Short at first; longer after each sound with gaps, and what follows is whole."""
    yard = Yard()
    asked_s = []
    for _ in LATENCIES_S:
        yard.module.looked = lambda: yard.stream.pull(underflow=True)
        yard.loudspeaker.play(chirp())
        asked_s.append(yard.stream.options["latency"])
    yard.module.looked = lambda: yard.clock.advance(0.032)

    yard.loudspeaker.play(chirp())

    assert asked_s == list(LATENCIES_S)
    assert yard.stream.options["latency"] == LATENCIES_S[-1]
    wanted = resample(chirp().frames, 22_050, 48_000)
    assert np.count_nonzero(yard.stream.heard) >= 0.99 * np.count_nonzero(wanted)


def test_a_loudspeaker_without_gaps_keeps_its_short_buffer() -> None:
    """Two sounds, one stream."""
    yard = Yard()
    yard.loudspeaker.play(chirp())
    yard.loudspeaker.play(chirp())

    assert len(yard.module.outputs) == 1


@pytest.mark.parametrize("knob", ["refusing", "not_starting"])
def test_a_device_that_does_not_open_is_an_error(knob: str) -> None:
    """The error names the device, and nothing stays open."""
    module = FakePortAudio([fake_device("Headset", outputs=1)], **{knob: {0}})
    with pytest.raises(DeviceError, match="the loudspeaker 'Headset'"):
        Loudspeaker(module, list_devices(module)[0], ManualClock())
    assert all(stream.closed for stream in module.outputs)
