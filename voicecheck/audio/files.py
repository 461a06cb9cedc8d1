"""Read sound files of any common form, and write the one form that we write."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
import soundfile

from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.audio.resample import StreamResampler
from voicecheck.errors import SoundError

__all__ = ["MAX_SECONDS", "read_sound", "write_wav"]

MAX_SECONDS = 600.0
"""Longer files are refused: an answer is a few seconds, a whole walk has no
business in one file, and memory is finite."""
RATES_HZ = (4_000, 768_000)
"""Lowest and highest rate that is read; outside, the header is surely wrong."""


def read_sound(path: Path) -> Frames:
    """Read a sound file as mono at 16 kHz.

    Args:
        path: a WAV file (PCM of 8 to 32 bits or float, any rate from 4 to
            768 kHz, any number of channels) or another file that libsndfile
            reads. Channels are averaged. What is in the file counts, not what
            it is called.

    Returns:
        float32, shape (n,), n >= 1. A file whose peaks pass full scale, as
        float files may, is turned down as a whole so that they reach 1.0.

    Raises:
        SoundError: the file is missing, empty, broken, no sound, longer than
            ten minutes, or holds values that are not numbers; the text names
            the file and says what to do.
    """
    with _sound_file_errors(path), path.open("rb") as raw:
        if raw.read(1) == b"":
            raise SoundError(
                f"{path} is empty (0 bytes): record it again, "
                "or check that it was copied completely"
            )
        raw.seek(0)
        with soundfile.SoundFile(_Nameless(raw)) as sound:
            _check_header(path, sound)
            frames = _read_mono(path, sound)
    if frames.size == 0:
        raise SoundError(f"{path} holds no sound (0 samples): record it again")
    peak = float(np.max(np.abs(frames)))
    return frames if peak <= 1.0 else np.asarray(frames / peak, dtype=np.float32)


def write_wav(path: Path, frames: Frames, rate_hz: int = RATE_HZ) -> None:
    """Write mono sound as a 16-bit PCM WAV file, replacing what was there.

    Args:
        path: where to; its folder must exist.
        frames: shape (n,), n >= 1; values beyond [-1, 1] are clipped.
        rate_hz: rate of the samples.

    Raises:
        SoundError: the samples are empty, not mono or not all numbers, or the
            file cannot be written.
    """
    with _sound_file_errors(path):
        path.write_bytes(wav_bytes(frames, rate_hz))


def wav_bytes(frames: Frames, rate_hz: int = RATE_HZ) -> bytes:
    """Return mono sound as a 16-bit PCM WAV file in memory.

    Raises:
        SoundError: the samples are empty, not mono or not all numbers.
    """
    if frames.ndim != 1 or frames.size == 0:
        raise SoundError(
            f"no sound was written: give one row of samples, not {frames.shape}"
        )
    if not np.isfinite(frames).all():
        raise SoundError("no sound was written: it holds values that are not numbers")
    packed = BytesIO()
    soundfile.write(
        packed, np.clip(frames, -1.0, 1.0), rate_hz, subtype="PCM_16", format="WAV"
    )
    return packed.getvalue()


class _Nameless:
    """An open file without its name, which soundfile would guess the form from."""

    def __init__(self, raw: BinaryIO) -> None:
        self.read = raw.read
        self.seek = raw.seek
        self.tell = raw.tell


def _check_header(path: Path, sound: Any) -> None:
    lowest_hz, highest_hz = RATES_HZ
    if not lowest_hz <= sound.samplerate <= highest_hz:
        raise SoundError(
            f"{path} claims a rate of {sound.samplerate} Hz: give a file between "
            f"{lowest_hz} and {highest_hz} Hz"
        )
    seconds = sound.frames / sound.samplerate
    if seconds > MAX_SECONDS:
        raise SoundError(
            f"{path} lasts {seconds / 60:.1f} minutes, more than "
            f"{MAX_SECONDS / 60:.0f}: cut it into shorter files"
        )


def _read_mono(path: Path, sound: Any) -> Frames:
    """Read, average and resample in blocks, so that many channels fit in memory."""
    resampler = StreamResampler(sound.samplerate, RATE_HZ)
    pieces = [np.zeros(0, dtype=np.float32)]
    for block in sound.blocks(blocksize=1 << 16, dtype="float32", always_2d=True):
        mono = block.mean(axis=1, dtype=np.float64).astype(np.float32)
        _check_numbers(path, mono)
        pieces.append(resampler.push(mono))
    pieces.append(resampler.finish())
    frames = np.concatenate(pieces)
    _check_numbers(path, frames)
    return frames


def _check_numbers(path: Path, frames: Frames) -> None:
    if not np.isfinite(frames).all():
        raise SoundError(
            f"{path} holds values that are not numbers (NaN or infinity): "
            "export it again, as 16-bit PCM"
        )


@contextmanager
def _sound_file_errors(path: Path) -> Iterator[None]:
    """Turn the errors of files and of soundfile into ours."""
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        raise SoundError(
            f"{path} cannot be used: {reason}. Check the path and your rights to it"
        ) from error
    except soundfile.SoundFileError as error:
        raise SoundError(
            f"{path} is broken or is no sound file ({error}): "
            "give a WAV file, for example 16-bit PCM, mono, 16 kHz"
        ) from error
