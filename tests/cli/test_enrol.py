"""The command `voicecheck enrol`: from a folder, and a simulated session."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import typer
from typer.testing import CliRunner

from voicecheck.audio.files import write_wav
from voicecheck.audio.frames import RATE_HZ
from voicecheck.audio.resample import resample
from voicecheck.cli.enrol import enrol
from voicecheck.errors import ProfileError, UsageError
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser, Voice

app = typer.Typer()
app.command()(enrol)


def run(*arguments: str) -> tuple[int, str, str]:
    """Run the command; return exit status and both outputs."""
    result = CliRunner().invoke(app, list(arguments))
    if isinstance(result.exception, Exception):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder of its own."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture(scope="module")
def recordings(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Three words of one synthetic voice, at 44.1 kHz, three times each."""
    folder = tmp_path_factory.mktemp("recordings")
    with Pyttsx3Synthesiser(tmp_path_factory.mktemp("spoken")) as synthesiser:
        for word in ("good", "defect", "not fitted"):
            inner = folder / word.replace(" ", "-")
            inner.mkdir()
            for number, rate in enumerate((140, 150, 160), 1):
                voice = Voice(name="en-us+f3", words_a_minute=rate, pitch=50)
                sound = synthesiser.speak_as(word, voice)
                frames = resample(sound.frames, sound.rate_hz, 44_100)
                write_wav(inner / f"{number}.wav", frames, 44_100)
    yield folder


@pytest.mark.slow
def test_from_a_folder_and_all_that_follows(recordings: Path, home: Path) -> None:
    """Enrol, list, check, a second version, back, delete."""
    status, out, _ = run("--operator", "kim", "--from", str(recordings))
    assert status == 0
    assert "3 words, 9 examples" in out
    assert "never leave this computer" in out

    status, out, _ = run("--operator", "kim", "--check", "--json")
    found = json.loads(out)
    assert status == 0
    assert {w["phrase"] for w in found["words"]} == {"good", "defect", "not fitted"}
    assert found["with_profile"] >= 0.95
    assert found["again"] == []

    run("--operator", "kim", "--from", str(recordings))
    assert run("--operator", "kim", "--back", "1")[0] == 0
    rows = json.loads(run("--operator", "kim", "--versions", "--json")[1])
    assert [(r["version"], r["current"]) for r in rows] == [(1, True), (2, False)]

    run("--operator", "kim", "--delete", "--yes")
    assert not list((home / "voices").rglob("*.flac"))
    assert "No voices" in run("--list")[1]


def test_what_is_not_usable_gets_a_line(recordings: Path, tmp_path: Path) -> None:
    """Unknown folders and broken files are named; the rest is used."""
    folder = tmp_path / "some"
    (folder / "good").mkdir(parents=True)
    (folder / "bananas").mkdir()
    source = recordings / "good" / "1.wav"
    (folder / "good" / "1.wav").write_bytes(source.read_bytes())
    (folder / "good" / "2.wav").write_bytes(b"RIFF nothing")
    write_wav(folder / "good" / "3.wav", np.zeros(RATE_HZ, np.float32))

    status, out, err = run("--operator", "kim", "--from", str(folder))

    assert status == 1
    assert "1 words, 1 examples" in out
    assert "bananas" in err
    assert "2.wav" in err
    assert "3.wav: no speech" in err


def test_a_simulated_session(home: Path) -> None:
    """Each word three times; taken up later, nothing is asked twice."""
    arguments = ("--operator", "kim", "--simulate", "--word", "good", "--word", "leak")
    status, out, _ = run(*arguments)
    assert status == 0, out
    assert "6/6" in out
    assert "2 words, 6 examples" in out


def test_wrong_use_says_what_to_do(tmp_path: Path) -> None:
    """No operator, a word no question takes, no folder, nothing kept."""
    with pytest.raises(UsageError, match="--operator"):
        run()
    with pytest.raises(UsageError, match="bananas"):
        run("--operator", "kim", "--word", "bananas")
    with pytest.raises(UsageError, match="no folder"):
        run("--operator", "kim", "--from", str(tmp_path / "nosuch"))
    with pytest.raises(UsageError, match="en only"):
        run("--operator", "kim", "--lang", "ko")
    with pytest.raises(ProfileError, match="nothing is kept"):
        run("--operator", "kim", "--delete", "--yes")
    with pytest.raises(UsageError, match="cannot be the id"):
        run("--operator", "../x", "--versions")
