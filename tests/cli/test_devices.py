"""The command `voicecheck devices`."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import typer
from typer.testing import CliRunner

from voicecheck.audio.device_list import Device
from voicecheck.audio.level import Level, judge_level
from voicecheck.audio.survey import DeviceSurvey
from voicecheck.cli.devices import devices, survey_data, survey_text

HEADSET = Device(
    number=3,
    name="USB Headset (hw:1,0)",
    host_api="ALSA",
    input_channels=1,
    output_channels=2,
    rate_hz=48_000.0,
    default_input=True,
    default_output=False,
)


def level(amplitude: float) -> Level:
    """The level of a square wave of this amplitude."""
    return judge_level(np.full(16_000, amplitude, dtype=np.float32))


def survey(heard: Level | None) -> DeviceSurvey:
    """A survey of a computer with one headset and one complaint of each kind."""
    return DeviceSurvey(
        devices=(HEADSET,),
        input=HEADSET,
        output=None,
        level=heard,
        notices=("telephone sound",),
        problems=("there is no loudspeaker: plug one in",),
    )


@pytest.mark.parametrize(
    ("amplitude", "words"),
    [
        (0.0, "silent: nothing but digital zeros"),
        (1e-5, "silent: nothing was heard"),
        (0.003, "too quiet: speak up"),
        (0.1, "good (loudest part -20 dBFS, peak -20 dBFS)"),
        (1.0, "clipping: it is too loud"),
    ],
)
def test_the_level_is_said_in_plain_words(amplitude: float, words: str) -> None:
    """Each level has its word and, where something is to be done, advice."""
    assert f"Level: {words}" in survey_text(survey(level(amplitude)))


def test_the_text_names_devices_notes_and_problems() -> None:
    """A person sees what there is, what is used and what is wrong."""
    text = survey_text(survey(None))
    assert "3: USB Headset (hw:1,0), ALSA: 1 in, 2 out, 48000 Hz" in text
    assert "(default microphone)" in text
    assert "Microphone used: 3: USB Headset" in text
    assert "Loudspeaker used: -" in text
    assert "Note: telephone sound" in text
    assert "Problem: there is no loudspeaker" in text
    assert "Level" not in text


def test_no_device_at_all_is_said() -> None:
    """An empty list is shown as none."""
    assert "none" in survey_text(replace(survey(None), devices=(), input=None))


@pytest.mark.parametrize("amplitude", [0.0, 0.1])
def test_the_data_is_strict_json(amplitude: float) -> None:
    """Silence of minus infinity dB becomes null: JSON has no infinity."""
    data = json.loads(
        json.dumps(survey_data(survey(level(amplitude))), allow_nan=False)
    )

    assert data["usable"] == (amplitude > 0)
    assert data["input"]["name"] == HEADSET.name
    assert data["output"] is None
    assert data["devices"][0]["rate_hz"] == 48_000.0
    assert (data["level"]["rms_dbfs"] is None) == (amplitude == 0)
    assert data["notices"] == ["telephone sound"]


def app() -> typer.Typer:
    """A program with this one command."""
    program = typer.Typer()
    program.command()(devices)
    return program


@pytest.fixture
def no_portaudio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A computer on which sounddevice finds no PortAudio."""
    source = "raise OSError('PortAudio library not found')"
    (tmp_path / "sounddevice.py").write_text(source)
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)


@pytest.mark.usefixtures("no_portaudio")
def test_without_portaudio_it_says_what_to_install_and_fails() -> None:
    """Exit status 1 and the package's name on stderr."""
    result = CliRunner().invoke(app(), [])
    assert result.exit_code == 1
    assert "libportaudio2" in result.stderr
    assert result.stdout == ""


@pytest.mark.usefixtures("no_portaudio")
def test_without_portaudio_json_is_still_json() -> None:
    """A program reads the problem from stdout."""
    result = CliRunner().invoke(app(), ["--json"])
    assert result.exit_code == 1
    data = json.loads(result.stdout)
    assert data["usable"] is False
    assert "libportaudio2" in data["problems"][0]


def test_the_help_has_an_example() -> None:
    """Whoever asks for help sees how it is called."""
    result = CliRunner().invoke(app(), ["--help"])
    assert result.exit_code == 0
    assert "voicecheck devices --input headset" in result.stdout


def test_an_unknown_option_is_wrong_use() -> None:
    """Exit status 2."""
    assert CliRunner().invoke(app(), ["--volume", "9"]).exit_code == 2
