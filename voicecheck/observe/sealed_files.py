"""Sealed scenarios on this computer, readable by its owner only."""

from __future__ import annotations

import json
from pathlib import Path

from voicecheck.atomic_file import replace_file
from voicecheck.errors import ObserveError
from voicecheck.observe.seal import Sealed, opened

FOLDER = "scenarios"
LEAST_PREFIX = 4


def keep(sealed: Sealed, home: Path) -> Path:
    """Write a sealed scenario into the home folder; return its file.

    Raises:
        ObserveError: it could not be written.
    """
    path = home / FOLDER / f"{sealed.commitment}.json"
    text = json.dumps(sealed.document, ensure_ascii=False, indent=2) + "\n"
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        replace_file(path, text.encode(), 0o600)
    except OSError as error:
        raise ObserveError(
            f"{path} could not be written ({error.strerror or error}); make room or "
            "check the rights of its folder, then seal again"
        ) from error
    return path


def read(path: Path) -> Sealed:
    """Read a sealed scenario.

    Raises:
        ObserveError: the file is missing, or holds none.
    """
    try:
        return opened(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError) as error:
        raise ObserveError(f"{path} is no sealed scenario: {error}") from error


def find(prefix: str, home: Path) -> Sealed:
    """Return the sealed scenario whose commitment begins like this.

    Raises:
        ObserveError: too short, none, more than one, or its file was changed.
    """
    wanted = "".join(prefix.lower().split())
    if len(wanted) < LEAST_PREFIX or not set(wanted) <= set("0123456789abcdef"):
        raise ObserveError(
            f"give the first {LEAST_PREFIX} or more letters of the commitment that "
            "`voicecheck observe seal` wrote"
        )
    paths = [p for p in kept(home) if p.stem.startswith(wanted)]
    if len(paths) != 1:
        raise ObserveError(
            f"{len(paths)} sealed scenarios begin with {prefix}; "
            + (
                "give more of it"
                if paths
                else "seal one with `voicecheck observe seal`"
            )
        )
    sealed = read(paths[0])
    if sealed.commitment != paths[0].stem:
        raise ObserveError(f"{paths[0]} was changed after it was sealed; seal it anew")
    return sealed


def kept(home: Path) -> tuple[Path, ...]:
    """Return the files of all sealed scenarios, the newest first."""
    paths = (home / FOLDER).glob("*.json")
    return tuple(sorted(paths, key=lambda p: (p.stat().st_mtime_ns, p.stem))[::-1])
