"""Examples from recordings: DIR/<phrase with dashes>/<n>.wav."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from pathlib import Path

from voicecheck.audio.files import read_sound
from voicecheck.errors import SoundError, UsageError
from voicecheck.speech.enrolment.checks import (
    Fault,
    check_sound,
    estimated_snr_db,
    trimmed,
)
from voicecheck.speech.enrolment.nearness import Nearness
from voicecheck.speech.enrolment.profile import Example
from voicecheck.speech.enrolment.words import phrase_of_folder
from voicecheck.speech.file_listener import FileListener

__all__ = ["FolderExamples", "read_folder"]

_SOUNDS = frozenset({".wav", ".flac", ".ogg", ".aiff", ".aif"})


@dataclass(slots=True, kw_only=True)
class FolderExamples:
    """What a folder of recordings gave."""

    examples: list[Example] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    """One line for each folder or file that was left out, and why."""
    notes: list[str] = field(default_factory=list)
    """Lines about recordings that are used, but could be better."""


def read_folder(
    folder: Path,
    listener: FileListener,
    nearness: Nearness,
    known: Collection[str],
) -> FolderExamples:
    """Read all usable examples of a folder; what is not usable gets a line.

    Args:
        folder: holds one folder for each phrase.
        listener: finds the utterance in each file.
        nearness: tells one word from another.
        known: phrases that some question takes.

    Raises:
        UsageError: there is no such folder, or nothing in it is a folder.
    """
    if not folder.is_dir():
        raise UsageError(
            f"{folder} is no folder: give one that holds a folder for each phrase, "
            "for example recordings/not-fitted/1.wav"
        )
    found = FolderExamples()
    inner = sorted(p for p in folder.iterdir() if p.is_dir())
    if not inner:
        raise UsageError(
            f"{folder} holds no folders: put the recordings of each phrase into a "
            "folder of its name, for example recordings/not-fitted/1.wav"
        )
    for path in inner:
        phrase = phrase_of_folder(path.name)
        if phrase not in known:
            found.problems.append(
                f"{path}: no question takes {phrase!r}, left out; "
                "voicecheck hear --list-questions shows the phrases"
            )
            continue
        _read_phrase(path, phrase, listener, nearness, found)
    return found


def _read_phrase(
    folder: Path,
    phrase: str,
    listener: FileListener,
    nearness: Nearness,
    found: FolderExamples,
) -> None:
    paths = sorted(p for p in folder.iterdir() if p.suffix.lower() in _SOUNDS)
    if not paths:
        found.problems.append(f"{folder}: holds no sound files, left out")
    for path in paths:
        try:
            example = _read_one(path, phrase, listener, nearness, found.notes)
        except SoundError as error:
            found.problems.append(str(error))
            continue
        if isinstance(example, str):
            found.problems.append(f"{path}: {example}, left out")
            continue
        nearness.add([example])
        found.examples.append(example)


def _read_one(
    path: Path,
    phrase: str,
    listener: FileListener,
    nearness: Nearness,
    notes: list[str],
) -> Example | str:
    """Return the example of one file, or why it is none.

    Raises:
        SoundError: the file cannot be read.
    """
    utterances = listener.utterances(read_sound(path))
    if not utterances:
        return Fault.NOTHING.value
    if len(utterances) > 1:
        return f"{Fault.SEVERAL.value} ({len(utterances)})"
    frames = utterances[0].frames
    checked = check_sound(phrase, frames, estimated_snr_db(frames))
    if checked.faults:
        return ", ".join(fault.value for fault in checked.faults)
    word = trimmed(utterances[0])
    fault, heard = nearness.judge(phrase, word)
    if fault is not None:
        return f"{fault.value} (nearer to {heard!r})"
    if checked.noisy:
        notes.append(
            f"{path}: used, though the noise is only {checked.snr_db:.0f} dB below"
        )
    return Example(phrase=phrase, frames=word, snr_db=round(checked.snr_db, 1))
