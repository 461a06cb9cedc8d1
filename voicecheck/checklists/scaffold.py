"""The beginning of a new checklist: every kind of question, with remarks."""

from __future__ import annotations

import re
from pathlib import Path
from string import Template

from voicecheck.checklists import files
from voicecheck.checklists.speakable import unspeakable
from voicecheck.errors import ChecklistError

_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_LONGEST_NAME = 60
_LONGEST_MACHINE = 80


def scaffold_text(name: str, machine: str) -> str:
    """Return the text of a checklist file that lints without a problem.

    Args:
        name: of the checklist and its file, lower case with hyphens.
        machine: what it is for, as spoken, for example "small road roller".

    Raises:
        ChecklistError: a name that no file can have, or words that cannot be spoken.
    """
    if not _NAME.fullmatch(name) or len(name) > _LONGEST_NAME:
        raise ChecklistError(
            f"{name!r} cannot be the name of a checklist: write it in lower case "
            f"with hyphens, at most {_LONGEST_NAME} letters, for example road-roller"
        )
    spoken = " ".join(machine.split())
    if not spoken or len(spoken) > _LONGEST_MACHINE:
        raise ChecklistError(
            f"say in 1 to {_LONGEST_MACHINE} letters what the machine is, for "
            'example --machine "small road roller"'
        )
    bad = unspeakable(spoken, "en")
    if bad:
        raise ChecklistError(
            f"the machine is spoken: write {', '.join(repr(word) for word in bad)} "
            "as plain words without digits, symbols and abbreviations"
        )
    path = files.shipped_folder() / "new-checklist.toml.template"
    template = Template(path.read_text(encoding="utf-8"))
    return template.substitute(name=name, machine=spoken)


def write_scaffold(
    folder: Path, name: str, machine: str, *, force: bool = False
) -> Path:
    """Write a new checklist file into a folder and return its path.

    Raises:
        ChecklistError: as `scaffold_text`; or the file is there already and
            `force` is not given; or it cannot be written.
    """
    text = scaffold_text(name, machine)
    path = folder / f"{name}.toml"
    try:
        with path.open("w" if force else "x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError as problem:
        raise ChecklistError(
            f"{path}: is there already and was left as it is; choose another name, "
            "or give --force to write over it"
        ) from problem
    except OSError as problem:
        raise ChecklistError(
            f"{path}: cannot be written: {problem.strerror}; name a folder that "
            "exists and that you may write to"
        ) from problem
    return path
