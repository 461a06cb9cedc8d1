"""Files that are whole or not there."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from voicecheck.errors import JournalError
from voicecheck.store.files import write_atomically


def test_a_file_is_written_with_its_folders(tmp_path: Path) -> None:
    """Missing folders are made, and nothing else is left behind."""
    path = tmp_path / "a" / "b.json"

    write_atomically(path, b"{}")

    assert path.read_bytes() == b"{}"
    assert list(path.parent.iterdir()) == [path]


def test_an_older_file_is_replaced_whole(tmp_path: Path) -> None:
    """The name leads to the old content or to the new one."""
    path = tmp_path / "b.json"
    path.write_bytes(b"old and longer")

    write_atomically(path, b"new")

    assert path.read_bytes() == b"new"


def test_a_write_that_fails_leaves_the_older_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the disk refuses, the old file stands and no part file stays."""
    path = tmp_path / "b.json"
    path.write_bytes(b"old")

    def no_room(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", no_room)
    with pytest.raises(JournalError, match="No space left on device"):
        write_atomically(path, b"new")

    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    """A file in the place of the folder gives a sentence."""
    (tmp_path / "a").write_bytes(b"")

    with pytest.raises(JournalError, match="could not be written"):
        write_atomically(tmp_path / "a" / "b.json", b"{}")
