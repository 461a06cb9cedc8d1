"""Recording a microphone at its own rate."""

from __future__ import annotations

import numpy as np
import pytest

from voicecheck.audio.noise_recording import SKIPPED_S, record_noise
from voicecheck.clock import ManualClock
from voicecheck.errors import DeviceError, DeviceLost
from voicecheck.testing.portaudio import FakeInputStream, FakePortAudio, fake_device

RATE_HZ = 48_000
METER_MIC = fake_device("Measuring microphone", inputs=2, rate_hz=RATE_HZ)


def module(seconds: float, *, lossy: bool = False) -> tuple[FakePortAudio, np.ndarray]:
    """A computer whose microphone gives a ramp of known samples, then nothing."""
    sound = np.linspace(-0.5, 0.5, round(seconds * RATE_HZ), dtype=np.float32)

    def start(stream: FakeInputStream) -> None:
        block = stream.options["blocksize"]
        for at in range(0, sound.size, block):
            stream.feed(sound[at : at + block], overflow=lossy and at == 0)

    return FakePortAudio([METER_MIC], on_start=start), sound


def test_it_keeps_the_devices_own_rate_and_length() -> None:
    """After the first moments, exactly as many samples as were asked for."""
    portaudio, sound = module(2.0)

    found = record_noise(portaudio, ManualClock(), 1.0, poll_s=0)

    skipped = round(SKIPPED_S * RATE_HZ)
    assert found.rate_hz == RATE_HZ
    assert found.device == "Measuring microphone"
    assert found.lost == 0
    assert np.array_equal(found.frames, sound[skipped : skipped + RATE_HZ])
    assert portaudio.inputs[0].closed


def test_lost_sound_is_counted() -> None:
    """A level measured over gaps may be too low, so they are told."""
    portaudio, _ = module(2.0, lossy=True)
    assert record_noise(portaudio, ManualClock(), 1.0, poll_s=0).lost == 1


@pytest.mark.parametrize("seconds", [0.0, 0.5, 1000.0, float("nan")])
def test_a_useless_length_is_refused(seconds: float) -> None:
    """Neither a blink nor a quarter of an hour."""
    portaudio, _ = module(2.0)
    with pytest.raises(DeviceError, match="seconds"):
        record_noise(portaudio, ManualClock(), seconds)


def test_the_microphone_is_announced_before_it_is_listened_to() -> None:
    """So that everybody is quiet."""
    portaudio, _ = module(2.0)
    named: list[str] = []
    record_noise(
        portaudio,
        ManualClock(),
        1.0,
        wanted="measuring",
        before_recording=lambda device: named.append(device.name),
        poll_s=0,
    )
    assert named == ["Measuring microphone"]


def test_a_microphone_that_goes_away_is_said() -> None:
    """The recording ends with an error, and the device is given back."""
    portaudio, _ = module(0.5)
    clock = ManualClock()
    portaudio.looked = lambda: clock.advance(1.0)
    with pytest.raises(DeviceLost, match="no more sound"):
        record_noise(portaudio, clock, 1.0, poll_s=0)
    assert portaudio.inputs[0].closed
