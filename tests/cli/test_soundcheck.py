"""The command `voicecheck soundcheck`."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import typer
from typer.testing import CliRunner, Result

from voicecheck.audio.prompt_profile import load_profile
from voicecheck.cli import soundcheck_run
from voicecheck.cli.soundcheck import soundcheck
from voicecheck.errors import DeviceError, UsageError, VoicecheckError
from voicecheck.hearing.errors import LevelError, ProtectorDataError
from voicecheck.hearing.soundcheck_text import CAUTIONS
from voicecheck.speech.prompt_sample import PromptSample, measure_prompts
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser
from voicecheck.testing.portaudio import FakeInputStream, FakePortAudio, fake_device

RATE_HZ = 48_000
WELL = ("--dba", "92", "--dbc", "96", "--protector", "SNR 28", "--prompt-dba", "77")


@pytest.fixture(scope="module")
def spoken() -> PromptSample:
    """Three real prompts, spoken once for all tests here."""
    with Pyttsx3Synthesiser() as synthesiser:
        texts = ("Left front wheel nuts?", "Engine oil level?", "Is the cab empty?")
        return measure_prompts([synthesiser.speak(text, "en") for text in texts])


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spoken: PromptSample) -> Path:
    """A home folder of its own, and prompts that are spoken already."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))
    monkeypatch.setattr(soundcheck_run, "_sample", lambda language: spoken)
    return tmp_path


def run(*arguments: str) -> Result:
    """Run a program with this one command; our own errors come through."""
    program = typer.Typer()
    program.command()(soundcheck)
    result = CliRunner().invoke(program, list(arguments))
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def test_the_verdict_comes_first_and_the_cautions_last() -> None:
    """Then figures, each with the method that gave it."""
    result = run(*WELL)
    lines = result.stdout.splitlines()
    assert result.exit_code == 0
    assert lines[0] == (
        "Verdict: acceptable, on the quiet side; prompts can be understood."
    )
    assert tuple(lines[-len(CAUTIONS) :]) == CAUTIONS
    assert "68.0 dBA by SNR, 72.0 with 4 dB for practice, used here" in result.stdout
    assert "ANSI S3.5-1997, octave band procedure" in result.stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--dba", "104", "--dbc", "108", "--protector", "SNR 18"), "TOO LITTLE"),
        (("--dba", "95", "--protector", "SNR 30"), "protection UNKNOWN"),
        (("--dba", "88"), "NO protector named in this noise"),
        (("--dba", "92", "--dbc", "96", "--protector", "SNR 28"), "prompts NOT clear"),
        (("--dba", "75", "--path", "loudspeaker"), "prompts NOT clear"),
    ],
)
def test_what_does_not_protect_or_is_not_clear_fails(
    arguments: tuple[str, ...], words: str
) -> None:
    """Exit status 1, and the first line says why."""
    result = run(*arguments)
    assert result.exit_code == 1
    assert words in result.stdout.splitlines()[0]


def test_too_much_protection_is_said_and_does_not_fail() -> None:
    """The operator hears; the protector is to be exchanged, not taken off."""
    result = run("--dba", "90", "--dbc", "91", "--protector", "H 38, M 36, L 33",
                 "--prompt-dba", "70")  # fmt: skip
    assert result.exit_code == 0
    assert "TOO MUCH PROTECTION" in result.stdout.splitlines()[0]


def test_published_hml_example() -> None:
    """96.0 dBA, 99.0 dBC, H 30 M 24 L 22: 72.25 dBA, 76.25 with 4 dB (ISO 4869-2 and
    HSE L108, as worked in published guidance: 76.3)."""
    result = run("--dba", "96", "--dbc", "99", "--protector", "H 30, M 24, L 22",
                 "--json")  # fmt: skip
    level = json.loads(result.stdout)["protection"]["levels"][0]
    assert level["method"] == "H-M-L"
    assert level["level_dba"] == pytest.approx(72.25)
    assert level["real_world_dba"] == pytest.approx(76.25)


def test_octaves_and_a_protector_from_a_file(tmp_path: Path) -> None:
    """Eight levels, and the packaging's figures kept in a file."""
    path = tmp_path / "defender.txt"
    path.write_text("name: yard ear defender\nmean 13 20 33 35 38 47 41\n"
                    "sd 6 6 6 6 7 8 8\n")  # fmt: skip
    result = run("--octaves", "98 97 96 94 92 88 84 78", "--protector", str(path),
                 "--json")  # fmt: skip
    data = json.loads(result.stdout)
    assert data["noise"]["level_dba"] == pytest.approx(96.7, abs=0.05)
    assert data["protection"]["name"] == "yard ear defender"
    assert data["protection"]["used"]["method"] == "octave bands"


def test_two_protectors_use_the_rule_for_two() -> None:
    """100 dBA, NRR 29 and a second one: 84 dBA (OSHA Technical Manual, from
    memory)."""
    result = run("--dba", "100", "--protector", "NRR 29", "--second-protector",
                 "NRR 25", "--json")  # fmt: skip
    used = json.loads(result.stdout)["protection"]["used"]
    assert used["level_dba"] == pytest.approx(84.0)


def test_the_days_dose() -> None:
    """2 h at 95, 4 h at 90, 2 h at 85 dBA: 112.5 % and 90.85 dBA (29 CFR 1910.95
    Appendix A, recomputed)."""
    result = run(*WELL, "--exposure", "2h@95", "--exposure", "4h@90",
                 "--exposure", "120min@85:worn")  # fmt: skip
    assert "Today by the OSHA rule: 112.5 %" in result.stdout
    assert "Today by the NIOSH recommendation: 435.7 %" in result.stdout


def test_json_is_strict_and_whole() -> None:
    """No infinity, the verdict, the method, what was measured, and the cautions."""
    result = run(*WELL, "--exposure", "1h@60", "--json")
    data = json.loads(result.stdout, parse_constant=_no_constant)
    assert data["passes"] is True
    assert data["played"]["sii"] == pytest.approx(0.75, abs=0.02)
    assert data["played"]["prompts"] == 3
    assert data["day"]["osha_conservation"]["average_dba"] is None
    assert data["method"].startswith("speech intelligibility index, ANSI S3.5")
    assert len(data["cautions"]) == len(CAUTIONS)


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} is no JSON")


def test_the_planned_index_is_really_played() -> None:
    """What the shaped prompts measure agrees with the plan to two hundredths, and
    the safe level is kept."""
    data = json.loads(run(*WELL, "--json").stdout)
    assert data["played"]["sii"] == pytest.approx(data["prompt"]["sii"], abs=0.025)
    assert data["played"]["level_dba"] <= 82.0


def test_a_quiet_headset_is_to_be_turned_up() -> None:
    """Where digital gain ends, the text says by how much."""
    result = run("--dba", "92", "--dbc", "96", "--protector", "SNR 28")
    assert "Turn the headset itself up by " in result.stdout
    assert "prompts were taken to make 65 dBA" in result.stdout


def test_the_setting_is_kept_shown_and_forgotten(home: Path) -> None:
    """Save, show, reset; each says what it did."""
    assert "No sound check is saved" in run("--show").stdout
    saved = run(*WELL, "--save")
    assert "Kept in" in saved.stderr

    profile = load_profile(home)
    assert profile is not None
    assert profile.words_a_minute == 165
    assert profile.gain_db > 0
    assert profile.noise_dba == 92.0
    assert profile.cap_dba == 82.0
    assert profile.full_scale_dba > profile.cap_dba
    assert "for a noise of 92.0 dBA" in run("--show").stdout
    assert json.loads(run("--show", "--json").stdout)["version"] == 1

    assert "Forgotten" in run("--reset").stdout
    assert load_profile(home) is None
    assert "Nothing was kept" in run("--reset").stdout
    assert json.loads(run("--show", "--json").stdout) is None


def test_prompts_that_stay_unclear_are_kept_slower(home: Path) -> None:
    """Best effort is kept too, and spoken more slowly."""
    assert run("--dba", "75", "--path", "loudspeaker", "--save").exit_code == 1
    profile = load_profile(home)
    assert profile is not None
    assert profile.words_a_minute == soundcheck_run.SLOW_RATE


def test_an_unknown_level_keeps_nothing(home: Path) -> None:
    """Where the protector's method lacks a figure there is no setting."""
    with pytest.raises(UsageError, match="nothing was kept"):
        run("--dba", "95", "--protector", "SNR 30", "--save")
    assert load_profile(home) is None


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        ((), UsageError, "how loud it is"),
        (("--dba", "90", "--octaves", "1 2 3"), UsageError, "either"),
        (("--octaves", "loud"), UsageError, "eight levels"),
        (("--octaves", "90 90"), LevelError, "eight"),
        (("--dba", "900"), LevelError, "dBA"),
        (("--reference", "90"), UsageError, "--record"),
        (("--record", "5", "--dba", "90"), UsageError, "not both"),
        (("--dba", "90", "--second-protector", "NRR 20"), UsageError, "--protector"),
        (("--dba", "90", "--protector", "good ones"), ProtectorDataError, "packaging"),
        (("--dba", "90", "--exposure", "long"), LevelError, "2h@95"),
        (("--dba", "90", "--prompt-dba", "200"), UsageError, "30 to 110"),
    ],
)
def test_wrong_use_is_said(
    arguments: tuple[str, ...], error: type[VoicecheckError], words: str
) -> None:
    """Our own errors, which the program turns into a sentence and status 2."""
    with pytest.raises(error, match=words):
        run(*arguments)


def microphone(
    monkeypatch: pytest.MonkeyPatch, amplitude: float, name: str = "Headset"
) -> None:
    """Give the computer a microphone that hears noise of this RMS."""
    noise = amplitude * np.random.default_rng(5).standard_normal(3 * RATE_HZ)

    def start(stream: FakeInputStream) -> None:
        block = stream.options["blocksize"]
        for at in range(0, noise.size, block):
            stream.feed(noise[at : at + block])

    devices = [fake_device(name, inputs=1, rate_hz=RATE_HZ)]
    fake: Any = FakePortAudio(devices, on_start=start)
    monkeypatch.setitem(sys.modules, "sounddevice", fake)


def test_a_recording_is_calibrated_by_the_meter(
    monkeypatch: pytest.MonkeyPatch, home: Path
) -> None:
    """The noise comes out as loud as the meter says, and the next recording of the
    same microphone, twice as strong, 6 dB louder without a meter."""
    microphone(monkeypatch, 0.01)
    first = run("--record", "1", "--reference", "72", "--json", "--save")
    assert json.loads(first.stdout)["noise"]["level_dba"] == pytest.approx(72.0)

    microphone(monkeypatch, 0.02)
    second = run("--record", "1", "--json")

    data = json.loads(second.stdout)
    assert data["noise"]["level_dba"] == pytest.approx(78.02, abs=0.1)
    assert any("earlier sound check" in note for note in data["notes"])
    assert "Listening to Headset for 1 seconds" in second.stderr


def test_entered_levels_do_not_undo_a_calibration(
    monkeypatch: pytest.MonkeyPatch, home: Path
) -> None:
    """Saving a sound check by entered levels keeps what the meter told before; a
    damaged file is replaced."""
    microphone(monkeypatch, 0.01)
    run("--record", "1", "--reference", "72", "--save")
    run(*WELL, "--save")
    profile = load_profile(home)
    assert profile is not None
    assert profile.calibration is not None

    (home / "soundcheck.json").write_text("{")
    run(*WELL, "--save")
    profile = load_profile(home)
    assert profile is not None
    assert profile.calibration is None


def test_another_microphone_is_not_calibrated(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Its level means nothing until a meter was read beside it."""
    microphone(monkeypatch, 0.01)
    run("--record", "1", "--reference", "72", "--save")
    microphone(monkeypatch, 0.01, name="Other")
    with pytest.raises(UsageError, match="how loud Other hears"):
        run("--record", "1")


def test_a_muted_microphone_is_no_quiet_yard(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Silence is an error, never a level."""
    microphone(monkeypatch, 0.0)
    with pytest.raises(UsageError, match="mute"):
        run("--record", "1", "--reference", "72")


def test_a_reference_that_cannot_be_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A microphone that overflows in a whisper is misread, not sensitive."""
    microphone(monkeypatch, 0.3)
    with pytest.raises(UsageError, match="does not fit"):
        run("--record", "1", "--reference", "-40")


def test_a_useless_recording_time_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Neither a blink nor an hour."""
    microphone(monkeypatch, 0.1)
    with pytest.raises(DeviceError, match="seconds"):
        run("--record", "0.1", "--reference", "80")


def test_the_help_has_an_example() -> None:
    """Whoever asks for help sees how it is called."""
    assert "voicecheck soundcheck --dba 92" in run("--help").stdout
