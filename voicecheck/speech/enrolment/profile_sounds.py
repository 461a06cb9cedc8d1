"""Recordings of a voice profile: FLAC files, each named by its hash."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Iterable
from pathlib import Path

from voicecheck.speech.enrolment.manifest import ExampleEntry
from voicecheck.speech.enrolment.private_files import (
    flac_bytes,
    read_flac,
    write_private,
)
from voicecheck.speech.enrolment.profile import Example, Source

__all__ = ["keep_sounds", "read_examples", "remove_sounds"]


def keep_sounds(folder: Path, examples: Iterable[Example]) -> tuple[ExampleEntry, ...]:
    """Write the recordings that are not there yet; return their entries.

    Args:
        folder: where the sounds of one operator lie.
        examples: recordings with what was said.

    Raises:
        ProfileError: one could not be written.
    """
    kept = []
    for example in examples:
        data = flac_bytes(example.frames)
        name = hashlib.sha256(data).hexdigest()[:32]
        path = folder / f"{name}.flac"
        if not path.is_file():
            write_private(path, data)
        kept.append(
            ExampleEntry(
                phrase=example.phrase,
                sound=name,
                source=example.source,
                spoken_utc=example.spoken_utc,
                snr_db=example.snr_db,
            )
        )
    return tuple(kept)


def read_examples(folder: Path, entries: Iterable[ExampleEntry]) -> tuple[Example, ...]:
    """Return the recordings of entries, without those that cannot be read."""
    found = []
    for entry in entries:
        if not re.fullmatch(r"[0-9a-f]{32}", entry.sound):
            continue
        frames = read_flac(folder / f"{entry.sound}.flac")
        if frames is not None:
            found.append(
                Example(
                    phrase=entry.phrase,
                    frames=frames,
                    source=Source(entry.source),
                    spoken_utc=entry.spoken_utc,
                    snr_db=entry.snr_db,
                )
            )
    return tuple(found)


def remove_sounds(folder: Path, needed: Collection[str]) -> None:
    """Remove the recordings whose name nobody needs."""
    for path in folder.glob("*.flac"):
        if path.stem not in needed:
            path.unlink(missing_ok=True)
