"""The command `voicecheck hear`, on spoken clips and on recordings of people."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
import soxr
import typer
from typer.testing import CliRunner

from voicecheck.audio.files import write_wav
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.mixing import mix_at_snr
from voicecheck.audio.noise import NoiseKind, noise
from voicecheck.cli.hear import hear
from voicecheck.errors import GrammarError, ModelError, UsageError
from voicecheck.speech.grammar.files import question_names
from voicecheck.speech.pyttsx3_synthesiser import Pyttsx3Synthesiser

KEYS = {
    "file",
    "question",
    "phrase",
    "meaning",
    "guess",
    "confidence",
    "outcome",
    "utterances",
    "engine",
    "sound_s",
    "computing_s",
}
RECORDINGS = Path(__file__).parent / "recordings"

Speak = Callable[[str], Frames]

app = typer.Typer()
app.command()(hear)


def run(*arguments: str) -> tuple[int, str]:
    """Run the command; return exit status and standard output."""
    result = CliRunner().invoke(app, list(arguments))
    if isinstance(result.exception, Exception):
        raise result.exception
    return result.exit_code, result.stdout


def heard(question: str, *files: Path) -> list[dict[str, Any]]:
    """Hear files; return the lines."""
    status, text = run("--question", question, *map(str, files))
    assert status == 0
    return [json.loads(line) for line in text.splitlines()]


@pytest.fixture(scope="module")
def speak(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Give a voice: text in, 16 kHz out."""
    with Pyttsx3Synthesiser(tmp_path_factory.mktemp("spoken")) as synthesiser:

        def spoken(text: str) -> Frames:
            sound = synthesiser.speak(text, "en")
            return np.asarray(
                soxr.resample(sound.frames, sound.rate_hz, RATE_HZ), dtype=np.float32
            )

        yield spoken


def in_noise(word: Frames, kind: NoiseKind, snr_db: float) -> Frames:
    """A word with 0.4 s of noise before and 0.7 s behind it."""
    around = (round(0.4 * RATE_HZ), round(0.7 * RATE_HZ))
    padded = np.pad(word, around)
    made = noise(kind, len(padded), np.random.default_rng(11))
    return mix_at_snr(padded, made, snr_db)


@pytest.mark.parametrize(
    ("question", "said", "meaning"),
    [
        ("condition", "defect", "defect"),
        ("start_check", "yes", "yes"),
        ("level", "between the marks", "between"),
        ("fault", "not working", "not_working"),
    ],
)
def test_a_bare_word_is_heard(
    speak: Speak, tmp_path: Path, question: str, said: str, meaning: str
) -> None:
    """A file that holds nothing but the word, in quiet."""
    path = tmp_path / "word.wav"
    write_wav(path, speak(said))

    [line] = heard(question, path)

    assert set(line) == KEYS
    assert line["meaning"] == meaning, line
    assert line["phrase"] is not None
    assert line["outcome"] in {"accept", "confirm"}
    assert 0.0 < line["confidence"] <= 1.0
    assert line["guess"] is None
    assert line["file"] == str(path)
    assert line["utterances"] == 1


def test_a_bare_number_is_heard() -> None:
    """As what it is worth. One that the synthesiser once spoke: on a busy computer it
    speaks a little differently, and strings of digits are not always understood."""
    [line] = heard("number", RECORDINGS / "four-five-two-seven-point-three.flac")

    assert set(line) == KEYS
    assert line["meaning"] == "4527.3", line
    assert line["outcome"] in {"accept", "confirm"}


def test_a_word_in_noise_is_heard(speak: Speak, tmp_path: Path) -> None:
    """With an engine idling 15 dB below it, before and behind it."""
    path = tmp_path / "noisy.wav"
    write_wav(path, in_noise(speak("defect"), NoiseKind.IDLE, 15.0))

    [line] = heard("condition", path)

    assert line["phrase"] == "defect"


@pytest.mark.parametrize(
    ("rate_hz", "channels", "subtype"),
    [
        (8_000, 1, "PCM_16"),
        (44_100, 2, "PCM_24"),
        (48_000, 2, "FLOAT"),
    ],
    ids=["telephone", "stereo 24 bit", "stereo float"],
)
def test_any_common_form_of_sound(
    speak: Speak, tmp_path: Path, rate_hz: int, channels: int, subtype: str
) -> None:
    """Rate, channels and sample format change nothing in what is heard."""
    path = tmp_path / "word.wav"
    word = soxr.resample(np.pad(speak("defect"), 8_000), RATE_HZ, rate_hz)
    soundfile.write(path, np.stack([word] * channels, axis=1), rate_hz, subtype=subtype)

    [line] = heard("condition", path)

    assert line["phrase"] == "defect"
    assert line["sound_s"] == pytest.approx(len(word) / rate_hz, abs=0.01)


@pytest.mark.parametrize(
    "frames",
    [
        np.zeros(2 * RATE_HZ, np.float32),
        0.001 * noise(NoiseKind.QUIET, 2 * RATE_HZ, np.random.default_rng(2)),
        0.1 * noise(NoiseKind.IDLE, 3 * RATE_HZ, np.random.default_rng(3)),
        0.1 * noise(NoiseKind.CRUSHER, 3 * RATE_HZ, np.random.default_rng(4)),
    ],
    ids=["zeros", "quiet", "engine", "crusher"],
)
def test_where_nobody_speaks_nothing_is_heard(tmp_path: Path, frames: Frames) -> None:
    """Silence and machines are no answer; above all they are never good."""
    path = tmp_path / "nobody.wav"
    write_wav(path, frames)

    [line] = heard("condition", path)

    assert line["outcome"] == "reject"
    assert (line["phrase"], line["meaning"]) == (None, None)


def test_nothing_found_has_no_confidence(tmp_path: Path) -> None:
    """No speech at all: no guess, confidence 0."""
    path = tmp_path / "silence.wav"
    write_wav(path, np.zeros(RATE_HZ, np.float32))

    [line] = heard("condition", path)

    assert (line["confidence"], line["guess"], line["utterances"]) == (0.0, None, 0)


def test_one_line_for_each_file_in_order(speak: Speak, tmp_path: Path) -> None:
    """Also when the same file is named twice."""
    path = tmp_path / "word.wav"
    write_wav(path, speak("leak"))

    lines = heard("condition", path, path)

    assert [line["phrase"] for line in lines] == ["leak", "leak"]
    assert lines[0]["confidence"] == lines[1]["confidence"]


def test_a_broken_file_does_not_stop_the_others(speak: Speak, tmp_path: Path) -> None:
    """Its line says what is wrong; the exit status is 1 after all were heard."""
    good, broken = tmp_path / "good.wav", tmp_path / "broken.wav"
    write_wav(good, speak("defect"))
    broken.write_bytes(b"RIFF not a sound")

    status, text = run(
        "--question",
        "condition",
        str(broken),
        str(tmp_path / "no-such.wav"),
        str(good),
    )

    lines = [json.loads(line) for line in text.splitlines()]
    assert status == 1
    assert [line["file"] for line in lines] == [
        str(broken),
        str(tmp_path / "no-such.wav"),
        str(good),
    ]
    assert all(set(line) == {"file", "error"} for line in lines[:2])
    assert lines[2]["phrase"] == "defect"


def test_the_questions_are_listed() -> None:
    """One object: question, then phrase, then meaning; digits with the numbers."""
    status, text = run("--list-questions")

    questions = json.loads(text)
    assert status == 0
    assert list(questions) == list(question_names("en"))
    assert questions["condition"]["leak"] == "leak"
    assert questions["condition"]["say again"] == "repeat"
    assert questions["number"]["nine"] == "9"
    assert questions["number"]["point"] == "."


@pytest.mark.parametrize(
    ("arguments", "error", "says"),
    [
        (("--question", "nosuch", "x.wav"), GrammarError, "condition, controls"),
        (("x.wav",), UsageError, "--list-questions"),
        (("--question", "condition"), UsageError, "at least one"),
        (("--list-questions", "--lang", "xx"), GrammarError, "no language"),
        (
            ("--question", "condition", "--engine", "vosk", "x.wav"),
            ModelError,
            "models add",
        ),
    ],
)
def test_wrong_use_says_what_to_do(
    arguments: tuple[str, ...],
    error: type[Exception],
    says: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """An unknown question comes with the list of those that there are."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))

    with pytest.raises(error, match=says):
        run(*arguments)


# ---- recordings of people: a check from outside ----------------------------


@pytest.fixture
def human(tmp_path: Path, person: Callable[[str], Frames]) -> Callable[[str], Path]:
    """Give a recording of a person as a WAV file."""

    def wav(name: str) -> Path:
        path = tmp_path / f"{Path(name).stem}.wav"
        write_wav(path, person(name))
        return path

    return wav


@pytest.mark.parametrize("engine", ["embedded", "pocketsphinx"])
def test_a_person_saying_digits_is_understood(
    human: Callable[[str], Path], engine: str
) -> None:
    """The value of spoken digits comes out right.

    Source: pocketsphinx-testdata, test/data/tidigits/dhd.2934z.raw, one person
    saying "two nine three four zero".
    """
    path = human("tidigits/dhd.2934z.raw")

    _, text = run("--question", "number", "--engine", engine, str(path))

    line = json.loads(text)
    assert line["phrase"] == "two nine three four zero"
    assert line["meaning"] == "29340"


@pytest.mark.parametrize("question", ["start_check", "condition", "level"])
def test_a_person_saying_something_else_is_no_answer(
    human: Callable[[str], Path], question: str
) -> None:
    """Speech outside the grammar is rejected where an answer would count.

    Source: pocketsphinx-testdata, test/data/goforward.raw, one person saying
    "go forward ten meters".
    """
    [line] = heard(question, human("goforward.raw"))

    assert (line["outcome"], line["phrase"]) == ("reject", None)
