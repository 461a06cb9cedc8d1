"""What devices there are, and what the microphone hears."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.level import Loudness
from voicecheck.audio.survey import RECORDED_S, DeviceSurvey, survey_devices
from voicecheck.clock import ManualClock
from voicecheck.errors import DeviceError
from voicecheck.testing.portaudio import FakeInputStream, FakePortAudio, fake_device

HEADSET = fake_device("Headset", inputs=1, outputs=1, rate_hz=16_000)
BLOCK = 512


def speech(amplitude: float) -> Frames:
    """A tone as loud as speech, longer than is listened to."""
    time_s = np.arange(round((RECORDED_S + 1) * RATE_HZ)) / RATE_HZ
    tone = amplitude * np.sin(2 * np.pi * 300 * time_s)
    return np.clip(tone, -1, 1).astype(np.float32)


def survey(
    sound: Frames, devices: list[dict[str, Any]] | None = None, **more: Any
) -> DeviceSurvey:
    """Survey a computer whose microphone gives `sound`, block after block."""
    clock = ManualClock()
    blocks = iter(np.split(sound, range(BLOCK, sound.size, BLOCK)))
    module = FakePortAudio([HEADSET] if devices is None else devices)

    def looked() -> None:
        clock.advance(0.032)
        block = next(blocks, None)
        if block is not None and block.size:
            module.inputs[-1].feed(block, overflow=bool(more.get("lossy")))

    module.looked = looked
    wishes = {key: value for key, value in more.items() if key != "lossy"}
    return survey_devices(module, clock, poll_s=0, **wishes)


@pytest.mark.parametrize(
    ("amplitude", "loudness", "usable"),
    [
        (0.0, Loudness.SILENT, False),
        (0.003, Loudness.TOO_QUIET, True),
        (0.2, Loudness.GOOD, True),
        (4.0, Loudness.CLIPPING, True),
    ],
)
def test_the_level_is_judged(amplitude: float, loudness: Loudness, usable) -> None:
    """Silent, too quiet, good or clipping; only a silent microphone is useless."""
    found = survey(speech(amplitude))
    assert found.level is not None
    assert found.level.loudness is loudness
    assert found.microphone_usable == usable
    assert found.problems == ()


def test_the_devices_that_would_be_used_are_named() -> None:
    """Wishes are followed, and the person is asked to speak into the right one."""
    spoken_to: list[str] = []
    other = fake_device("Other", inputs=1, outputs=2, rate_hz=16_000)

    found = survey(
        speech(0.2),
        [HEADSET, other],
        wanted_input="other",
        before_recording=lambda device: spoken_to.append(device.name),
    )

    assert found.input is not None
    assert found.output is not None
    assert (found.input.name, found.output.name) == ("Other", "Headset")
    assert spoken_to == ["Other"]
    assert len(found.devices) == 2


def test_a_computer_without_sound_has_two_problems() -> None:
    """Neither microphone nor loudspeaker: both are told, nothing is raised."""
    found = survey(speech(0.2), [])
    assert not found.microphone_usable
    assert len(found.problems) == 2


def test_a_microphone_alone_is_usable() -> None:
    """A missing loudspeaker is a problem of its own."""
    found = survey(speech(0.2), [fake_device("Mic", inputs=1, rate_hz=16_000)])
    assert found.microphone_usable
    assert found.output is None
    assert "no loudspeaker" in found.problems[0]


def test_a_microphone_that_dies_is_a_problem_and_no_crash() -> None:
    """What was found out before is still told."""
    found = survey(speech(0.2)[: 10 * BLOCK])
    assert found.level is None
    assert not found.microphone_usable
    assert "gives no more sound" in found.problems[0]


def test_lost_sound_is_noticed() -> None:
    """Overflows while listening give a notice with advice."""
    found = survey(speech(0.2), lossy=True)
    assert "close other programs" in found.notices[0]


def test_the_microphone_is_given_back() -> None:
    """Afterwards another program can have it."""
    streams: list[FakeInputStream] = []
    module = FakePortAudio([HEADSET], on_start=streams.append)
    clock = ManualClock()
    module.looked = lambda: clock.advance(1)
    survey_devices(module, clock, poll_s=0)
    assert [stream.closed for stream in streams] == [True]


def test_a_list_that_cannot_be_had_is_raised() -> None:
    """Without a list there is nothing to survey."""
    with pytest.raises(DeviceError, match="cannot be listed"):
        survey_devices(FakePortAudio([], _initialized=0), ManualClock())
