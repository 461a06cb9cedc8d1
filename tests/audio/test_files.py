"""Sound files in and out."""

from __future__ import annotations

import inspect
import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.audio.files import MAX_SECONDS, read_sound, write_wav
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.errors import SoundError


def tone(rate_hz: int, seconds: float = 0.5) -> np.ndarray:
    """A 440 Hz tone at half of full scale."""
    return 0.5 * np.sin(2 * np.pi * 440 * np.arange(int(rate_hz * seconds)) / rate_hz)


@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT"])
@pytest.mark.parametrize("rate_hz", [8_000, 16_000, 44_100, 48_000])
@pytest.mark.parametrize("channels", [1, 2, 5])
def test_every_common_form_gives_the_same_sound(
    tmp_path: Path, subtype: str, rate_hz: int, channels: int
) -> None:
    """Rate, channels and sample format make no difference to what is read."""
    path = tmp_path / "tone.wav"
    data = np.repeat(tone(rate_hz)[:, np.newaxis], channels, axis=1)
    soundfile.write(path, data, rate_hz, subtype=subtype)

    frames = read_sound(path)

    assert frames.dtype == np.float32
    assert frames.shape == (RATE_HZ // 2,)
    middle = slice(2_000, 6_000)
    np.testing.assert_allclose(frames[middle], tone(RATE_HZ)[middle], atol=0.01)


def test_a_file_of_the_standard_library_is_read(tmp_path: Path) -> None:
    """What Python's own `wave` module writes comes back sample by sample."""
    path = tmp_path / "steps.wav"
    samples = np.array([0, 16_384, -16_384, 32_767, -32_768], dtype="<i2")
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, RATE_HZ, 0, "NONE", ""))
        file.writeframes(samples.tobytes())

    np.testing.assert_array_equal(read_sound(path), samples / np.float32(32_768))


def test_the_content_counts_and_not_the_name(tmp_path: Path) -> None:
    """A WAV file called .raw or .txt is read all the same."""
    path = tmp_path / "answer.raw"
    write_wav(tmp_path / "answer.wav", tone(RATE_HZ).astype(np.float32))
    (tmp_path / "answer.wav").rename(path)

    assert read_sound(path).size == RATE_HZ // 2


@settings(deadline=None, max_examples=30)
@given(samples=st.lists(st.floats(-1, 1, width=32), min_size=1, max_size=300))
def test_written_sound_comes_back(
    tmp_path_factory: pytest.TempPathFactory, samples: list[float]
) -> None:
    """Writing and reading changes no sample by more than one step of 16 bits."""
    path = tmp_path_factory.mktemp("written") / "sound.wav"
    frames = np.array(samples, dtype=np.float32)

    write_wav(path, frames)

    np.testing.assert_allclose(read_sound(path), frames, atol=1 / 32_767)
    assert soundfile.info(path).subtype == "PCM_16"


def test_sound_beyond_full_scale_is_clipped_and_does_not_wrap(tmp_path: Path) -> None:
    """A value of 2.0 is written as full scale, never as its negative."""
    write_wav(tmp_path / "loud.wav", np.array([2.0, -2.0], dtype=np.float32))

    np.testing.assert_allclose(read_sound(tmp_path / "loud.wav"), [1, -1], atol=1e-4)


def test_a_float_file_beyond_full_scale_is_turned_down(tmp_path: Path) -> None:
    """Its shape stays, its peak becomes 1.0."""
    path = tmp_path / "loud.wav"
    soundfile.write(path, 8.0 * tone(RATE_HZ), RATE_HZ, subtype="FLOAT")

    frames = read_sound(path)

    assert np.max(np.abs(frames)) == pytest.approx(1.0)
    np.testing.assert_allclose(frames, 2.0 * tone(RATE_HZ), atol=1e-3)


def _nothing(path: Path) -> None:
    path.write_bytes(b"")


def _no_samples(path: Path) -> None:
    soundfile.write(path, np.zeros(0), RATE_HZ)


def _text(path: Path) -> None:
    path.write_text("front left tyre: good\n" * 50)


def _headless(path: Path) -> None:
    soundfile.write(path, tone(RATE_HZ), RATE_HZ)
    path.write_bytes(path.read_bytes()[:20])


def _no_number(path: Path) -> None:
    data = tone(RATE_HZ)
    data[100] = np.nan
    soundfile.write(path, data, RATE_HZ, subtype="FLOAT")


def _infinite(path: Path) -> None:
    data = tone(48_000)
    data[100] = np.inf
    soundfile.write(path, data, 48_000, subtype="FLOAT")


def _too_long(path: Path) -> None:
    silence = np.zeros(int(4_000 * (MAX_SECONDS + 1)), dtype=np.int16)
    soundfile.write(path, silence, 4_000)


def _odd_rate(path: Path) -> None:
    soundfile.write(path, np.zeros(100), 100)


def _folder(path: Path) -> None:
    path.mkdir()


def _missing(_path: Path) -> None:
    pass


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (_nothing, "empty .* record it again"),
        (_no_samples, "no sound .* record it again"),
        (_text, "no sound file .* give a WAV file"),
        (_headless, "give a WAV file"),
        (_no_number, "NaN or infinity.* export it again"),
        (_infinite, "NaN or infinity.* export it again"),
        (_too_long, "10.0 minutes.* cut it"),
        (_odd_rate, "rate of 100 Hz: give a file"),
        (_folder, "Check the path"),
        (_missing, "Check the path"),
    ],
)
def test_a_bad_file_is_refused_with_its_name_and_a_remedy(
    tmp_path: Path, make, words: str
) -> None:
    """Every kind of bad file gives one error that says which and what to do."""
    path = tmp_path / "answer.wav"
    make(path)

    with pytest.raises(SoundError, match=words) as caught:
        read_sound(path)
    assert str(path) in str(caught.value)


@settings(deadline=None, max_examples=60)
@given(cut=st.integers(0, 16_044), seed=st.integers(0, 2**32 - 1))
def test_a_damaged_file_gives_sound_or_our_error(
    tmp_path_factory: pytest.TempPathFactory, cut: int, seed: int
) -> None:
    """A file cut short, with bytes changed, never raises another error."""
    path = tmp_path_factory.mktemp("damaged") / "sound.wav"
    soundfile.write(path, tone(RATE_HZ), RATE_HZ)
    data = bytearray(path.read_bytes()[:cut])
    rng = np.random.default_rng(seed)
    for place in rng.integers(0, max(1, min(cut, 60)), size=3):
        if place < len(data):
            data[place] = int(rng.integers(0, 256))
    path.write_bytes(bytes(data))

    try:
        frames = read_sound(path)
    except SoundError as error:
        assert str(path) in str(error)
    else:
        assert np.isfinite(frames).all()
        assert frames.size > 0


@pytest.mark.parametrize(
    "frames",
    [
        np.zeros(0, dtype=np.float32),
        np.zeros((4, 2), dtype=np.float32),
        np.array([0.0, np.nan], dtype=np.float32),
    ],
    ids=["empty", "stereo", "not a number"],
)
def test_nothing_unusable_is_written(tmp_path: Path, frames: Frames) -> None:
    """Bad sound is refused and a file that was there stays as it was."""
    path = tmp_path / "note.wav"
    path.write_bytes(b"kept")

    with pytest.raises(SoundError, match="written"):
        write_wav(path, frames)
    assert path.read_bytes() == b"kept"


def test_a_file_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    """A missing folder is our error, not the system's."""
    path = tmp_path / "gone" / "note.wav"
    with pytest.raises(SoundError, match=r"note\.wav .*Check the path"):
        write_wav(path, tone(RATE_HZ).astype(np.float32))


def test_every_error_of_soundfile_is_translated() -> None:
    """All errors that the library defines come under the one that is caught."""
    errors = [
        cls
        for _, cls in inspect.getmembers(soundfile, inspect.isclass)
        if issubclass(cls, Exception) and cls.__module__.startswith("soundfile")
    ]

    assert errors
    assert all(issubclass(cls, soundfile.SoundFileError) for cls in errors)
