"""A file that is whole or not there, even when the power goes."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

__all__ = ["replace_file"]


def replace_file(path: Path, data: bytes, mode: int) -> None:
    """Write a file under another name, flush it to the disk, and rename it.

    Args:
        path: in a folder that is there.
        data: all of the file.
        mode: its rights, such as 0o600.

    Raises:
        OSError: it could not be written; an older file of that name is still
            as it was.
    """
    # mkstemp makes the file readable by its owner only
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(mode)
        temporary.replace(path)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    _flush_folder(path.parent)


def _flush_folder(folder: Path) -> None:
    """Make the new name durable; Windows keeps names without being asked."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
