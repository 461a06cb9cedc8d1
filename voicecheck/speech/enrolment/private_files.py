"""Files that only their owner may read, written whole or not at all."""

from __future__ import annotations

import hashlib
from io import BytesIO
from pathlib import Path

import numpy as np
import soundfile

from voicecheck.atomic_file import replace_file
from voicecheck.audio.frames import RATE_HZ, Frames
from voicecheck.errors import ProfileError

__all__ = ["flac_bytes", "private_folder", "read_flac", "write_private"]


def private_folder(path: Path) -> Path:
    """Make a folder that only its owner can enter."""
    try:
        path.mkdir(parents=True, exist_ok=True, mode=0o700)
        path.chmod(0o700)
    except OSError as error:
        raise _not_written(path, error) from error
    return path


def write_private(path: Path, data: bytes) -> None:
    """Write a file with the rights 0600, flushed to the disk and then renamed.

    Raises:
        ProfileError: it could not be written; an older file is as it was.
    """
    private_folder(path.parent)
    try:
        replace_file(path, data, 0o600)
    except OSError as error:
        raise _not_written(path, error) from error


def flac_bytes(frames: Frames) -> bytes:
    """Return mono sound at 16 kHz as 16-bit FLAC."""
    packed = BytesIO()
    sound = np.clip(frames, -1.0, 1.0)
    soundfile.write(packed, sound, RATE_HZ, subtype="PCM_16", format="FLAC")
    return packed.getvalue()


def read_flac(path: Path) -> Frames | None:
    """Read a sound whose name is the beginning of its hash; None when damaged."""
    try:
        data = path.read_bytes()
    except OSError:
        return None
    if not hashlib.sha256(data).hexdigest().startswith(path.stem):
        return None
    frames, _ = soundfile.read(BytesIO(data), dtype="float32")
    return np.asarray(frames, dtype=np.float32)


def _not_written(path: Path, error: OSError) -> ProfileError:
    return ProfileError(
        f"{path} could not be written ({error.strerror or error}); "
        "make room or check the rights of its folder, then try again"
    )
