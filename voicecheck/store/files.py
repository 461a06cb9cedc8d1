"""Writing a file so that it is whole or not there, even when the power goes."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from voicecheck.errors import JournalError


def write_atomically(path: Path, data: bytes) -> None:
    """Write a file under another name, flush it to the disk, and rename it.

    Missing folders are made.

    Raises:
        JournalError: it could not be written; an older file of that name is
            still as it was.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
        temporary = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            temporary.chmod(0o644)
            temporary.replace(path)
        except BaseException:
            temporary.unlink(missing_ok=True)
            raise
        _flush_folder(path.parent)
    except OSError as error:
        raise JournalError(
            f"{path} could not be written ({error.strerror or error}); "
            "make room or check the rights of its folder, then try again"
        ) from error


def _flush_folder(folder: Path) -> None:
    """Make the new name durable; Windows keeps names without being asked."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
