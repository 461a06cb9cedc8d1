"""Files of the store, written whole or not at all."""

from __future__ import annotations

from pathlib import Path

from voicecheck.atomic_file import replace_file
from voicecheck.errors import JournalError


def write_atomically(path: Path, data: bytes) -> None:
    """Write a file that everybody may read; missing folders are made.

    Raises:
        JournalError: it could not be written; an older file of that name is
            still as it was.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        replace_file(path, data, 0o644)
    except OSError as error:
        raise JournalError(
            f"{path} could not be written ({error.strerror or error}); "
            "make room or check the rights of its folder, then try again"
        ) from error
