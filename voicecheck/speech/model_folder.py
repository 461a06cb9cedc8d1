"""One folder with a Vosk model: its shape, its language, its fingerprint."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from voicecheck.errors import ModelError

_NEEDED = ("am/final.mdl", "conf/mfcc.conf", "graph/HCLr.fst", "graph/Gr.fst")
"""Acoustic model, features, and the two halves of a graph built at run time."""
_STATIC_GRAPH = "graph/HCLG.fst"
_LANGUAGE_IN_NAME = re.compile(r"^vosk[-_]model[-_](?:small[-_])?([a-z]{2,3})(?![a-z])")
_LANGUAGE_NAMES = {"english": "en", "korean": "ko"}
"""As the README files inside the models call them."""


def check_shape(folder: Path) -> None:
    """Refuse a folder that is no Vosk model with a run-time grammar.

    Raises:
        ModelError: it is not there, something in it is missing, or its graph
            was fixed when the model was built.
    """
    if folder.is_file():
        raise ModelError(f"{folder} is a file: unpack it and give the folder")
    if not folder.is_dir():
        raise ModelError(f"{folder}: there is no such folder; check the path")
    missing = [part for part in _NEEDED if not (folder / part).is_file()]
    if not missing:
        return
    if (folder / _STATIC_GRAPH).is_file():
        raise ModelError(
            f"{folder}: this model's graph is fixed ({_STATIC_GRAPH}), so it cannot "
            "listen for the answers of one question; get a small model with "
            "run-time grammar"
        )
    inner = [d for d in folder.iterdir() if (d / _NEEDED[0]).is_file()]
    if inner:
        raise ModelError(f"{folder}: the model lies one folder deeper: {inner[0]}")
    raise ModelError(
        f"{folder} is no complete Vosk model with run-time grammar: "
        f"{', '.join(missing)} missing"
    )


def guess_language(folder: Path) -> str | None:
    """Return the language that a model's name or README tells, if any."""
    for name in (folder.name, folder.parent.name):
        found = _LANGUAGE_IN_NAME.match(name.lower())
        if found:
            return found.group(1)
    readme = folder / "README"
    if readme.is_file():
        text = readme.read_text(encoding="utf-8", errors="replace").lower()
        for word, language in _LANGUAGE_NAMES.items():
            if word in text:
                return language
    return None


def sha256_of_tree(folder: Path) -> str:
    """Return the SHA-256 of a folder's files and their names.

    It is the hash of the lines `<sha256>  <path>`, one a file, sorted by path,
    each with a line feed: the text that the common sha256sum prints.
    """
    lines = hashlib.sha256()
    for name, path in _files(folder):
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        lines.update(f"{digest}  {name}\n".encode())
    return lines.hexdigest()


def stamp_of_tree(folder: Path) -> str:
    """Return a quick fingerprint: names, sizes and times of change, not contents."""
    lines = hashlib.sha256()
    for name, path in _files(folder):
        state = path.stat()
        lines.update(f"{state.st_size} {state.st_mtime_ns} {name}\n".encode())
    return lines.hexdigest()


def _files(folder: Path) -> list[tuple[str, Path]]:
    found = (path for path in folder.rglob("*") if path.is_file())
    return sorted((path.relative_to(folder).as_posix(), path) for path in found)
