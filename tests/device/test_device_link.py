"""The sound link on devices that PortAudio really opens."""

from __future__ import annotations

import ctypes
import json
import subprocess
import sys
import threading
from collections.abc import Iterator

import numpy as np
import pytest
from scipy.signal import correlate

from voicecheck.audio.device import DeviceLink
from voicecheck.audio.device_list import list_devices
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.portaudio import load_portaudio
from voicecheck.audio.ports import BLOCK, Sound
from voicecheck.audio.resample import resample
from voicecheck.audio.tones import Tone, make_tone
from voicecheck.errors import DeviceError, DeviceLost
from voicecheck.testing.pulse import (
    HEADSET,
    PulseServer,
    SpeakerRecorder,
    Talker,
)

pytestmark = pytest.mark.device

START_S = 0.8
"""How long a sound may take from the talker to the reader."""


def sweep(seconds: float = 1.0) -> Frames:
    """A tone that rises from 200 to 3000 Hz: it fits itself at one place only."""
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    turns = 200 * time_s + 1400 / seconds * time_s**2
    return (0.4 * np.sin(2 * np.pi * turns)).astype(np.float32)


def likeness(heard: Frames, sent: Frames) -> float:
    """Largest normalised correlation of `sent` with any stretch of `heard`.

    Both are compared at four times the rate: a device shifts a sound by parts
    of a sample.
    """
    fine_heard, fine_sent = (
        resample(frames, RATE_HZ, 4 * RATE_HZ) for frames in (heard, sent)
    )
    room = np.zeros(fine_sent.size, dtype=np.float32)
    padded = np.concatenate([room, fine_heard, room])
    start = int(np.argmax(correlate(padded, fine_sent, "valid")))
    part = padded[start : start + fine_sent.size]
    norms = np.linalg.norm(part) * np.linalg.norm(fine_sent)
    return float(part @ fine_sent / (norms + 1e-9))


def listen(link: DeviceLink, seconds: float) -> Frames:
    """Read the microphone for so long."""
    count = round(seconds * RATE_HZ / BLOCK)
    return np.concatenate([link.read() for _ in range(count)])


@pytest.fixture
def link(server: PulseServer) -> Iterator[DeviceLink]:
    """The default devices, opened."""
    assert server.running
    with DeviceLink() as link:
        yield link


def test_the_virtual_devices_are_listed(server: PulseServer) -> None:
    """PortAudio sees a default and a named device, each with both directions."""
    assert server.running
    found = {device.name: device for device in list_devices(load_portaudio())}
    assert {HEADSET, "default"} <= set(found)
    assert found["default"].default_input
    assert found["default"].default_output
    assert found[HEADSET].input_channels > 0


def test_what_is_said_is_heard(link: DeviceLink, talker: Talker) -> None:
    """A sweep into the microphone comes out of `read`, whole and in order."""
    link.discard()
    talker.say(sweep(), RATE_HZ)
    assert likeness(listen(link, 1.0 + START_S), sweep()) > 0.98
    assert link.overflows == 0


def test_what_is_played_comes_out(link: DeviceLink, server: PulseServer) -> None:
    """A sweep given to `play` reaches the loudspeaker whole, each time."""
    for _ in range(2):
        recorder = SpeakerRecorder(server.environment)
        link.play(Sound(frames=sweep(), rate_hz=RATE_HZ))
        assert likeness(recorder.stop(), sweep()) > 0.98


def test_an_answer_into_the_prompt_is_kept(link: DeviceLink, talker: Talker) -> None:
    """What is said while `play` runs can be read afterwards."""
    link.discard()
    assert talker.say(sweep(1.0), RATE_HZ) == pytest.approx(1.0)
    link.play(Sound(frames=np.zeros(4 * RATE_HZ, np.float32), rate_hz=RATE_HZ))
    assert likeness(listen(link, 4.0), sweep(1.0)) > 0.98


def test_nothing_is_lost_while_the_program_is_busy(
    link: DeviceLink, talker: Talker
) -> None:
    """A recogniser that holds Python for half a second costs no sound."""
    libc = ctypes.PyDLL(None)
    link.discard()
    talker.say(sweep(), RATE_HZ)
    heard = [link.read()]
    for _ in range(3):
        libc.usleep(500_000)
        heard.append(listen(link, 0.3))
    heard.append(listen(link, 1.0 + START_S))
    assert likeness(np.concatenate(heard), sweep()) > 0.98
    assert link.overflows == 0


def test_a_device_is_chosen_by_its_name(talker: Talker) -> None:
    """Words out of the name are enough, for both directions."""
    with DeviceLink(input_device="yard", output_device=HEADSET) as link:
        assert link.input_device.name == link.output_device.name == HEADSET
        talker.say(sweep(), RATE_HZ)
        assert likeness(listen(link, 1.0 + START_S), sweep()) > 0.98


def test_a_virtual_microphone_at_rest_is_silent_and_no_fault(link: DeviceLink) -> None:
    """It gives digital zeros whenever nobody speaks; that is only told."""
    listen(link, 3.0)
    assert link.silent_s > 2.5


def test_unplugged_while_listening(link: DeviceLink, server: PulseServer) -> None:
    """The loss is told while reading; the devices come back when plugged in."""
    link.read()
    server.kill()
    with pytest.raises(DeviceLost, match="unplugged"):
        listen(link, 30)

    assert not link.reopen()
    with pytest.raises(DeviceLost):
        link.read()

    server.start()
    assert link.reopen()
    link.discard()
    Talker(server.environment).say(sweep(), RATE_HZ)
    assert likeness(listen(link, 1.0 + START_S), sweep()) > 0.98
    recorder = SpeakerRecorder(server.environment)
    link.play(Sound(frames=sweep(), rate_hz=RATE_HZ))
    assert likeness(recorder.stop(), sweep()) > 0.98


def test_unplugged_while_playing(link: DeviceLink, server: PulseServer) -> None:
    """The loss is told while a prompt plays, long before its end."""
    link.play(make_tone(Tone.LISTENING))
    puller = threading.Timer(0.2, server.kill)
    puller.start()
    with pytest.raises(DeviceLost, match=r"loudspeaker .*unplugged"):
        link.play(Sound(frames=np.zeros(60 * RATE_HZ, np.float32), rate_hz=RATE_HZ))
    puller.join()

    server.start()
    assert link.reopen()
    assert link.read().size == BLOCK


def test_a_talker_outlives_its_server(server: PulseServer, talker: Talker) -> None:
    """It says when nobody can hear it; after a restart it is heard again."""
    server.kill()
    with pytest.raises(DeviceError, match="unplugged"):
        talker.say(sweep(), RATE_HZ)

    server.start()
    with DeviceLink() as link:
        talker.say(sweep(), RATE_HZ)
        assert likeness(listen(link, 1.0 + START_S), sweep()) > 0.98


def _devices(*options: str) -> subprocess.CompletedProcess[str]:
    program = (
        "import typer; from voicecheck.cli.devices import devices; typer.run(devices)"
    )
    return subprocess.run(
        [sys.executable, "-c", program, *options],
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_command_judges_a_microphone_that_somebody_speaks_into(
    server: PulseServer, talker: Talker
) -> None:
    """`voicecheck devices --json` hears speech, names its level and succeeds."""
    talker.say(np.tile(sweep(), 120), RATE_HZ)
    result = _devices("--json", "--input", HEADSET)
    # What is still being said must not reach the next test.
    server.kill()
    data = json.loads(result.stdout)
    assert result.returncode == 0
    assert data["usable"]
    assert data["input"]["name"] == HEADSET
    assert data["level"]["loudness"] == "good"


def test_the_command_fails_on_a_silent_microphone(server: PulseServer) -> None:
    """Exit status 1, and plain words about zeros."""
    assert server.running
    result = _devices()
    assert result.returncode == 1
    assert "nothing but digital zeros" in result.stdout
