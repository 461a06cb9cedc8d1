"""Find and read checklist, rules and translation files.

A file that cannot be read gives `ChecklistError` naming the file, the place in
it and what was expected.
"""

from __future__ import annotations

import tomllib
from decimal import Decimal
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from voicecheck.checklists.problems import Problem, error
from voicecheck.checklists.schema import (
    ChecklistFile,
    Entry,
    RulesFile,
    TranslationFile,
)
from voicecheck.errors import ChecklistError

_Model = TypeVar("_Model", bound=Entry)


def shipped_folder() -> Path:
    """Return the folder of the checklists that come with voicecheck."""
    with as_file(files("voicecheck.checklists")) as folder:
        return folder


def find(name_or_path: str | Path) -> Path:
    """Return the file of a checklist: a path, or the name of a shipped one.

    Raises:
        ChecklistError: there is no such file or name.
    """
    path = Path(name_or_path)
    if path.suffix == ".toml" or path.is_file():
        if path.is_file():
            return path
        raise ChecklistError(f"{path}: there is no such checklist file")
    shipped = shipped_folder() / f"{name_or_path}.toml"
    if "." not in str(name_or_path) and shipped.is_file():
        return shipped
    names = ", ".join(p.stem for p in shipped_files())
    raise ChecklistError(
        f"there is no checklist {str(name_or_path)!r}: name one of {names}, "
        "or give the path of a .toml file"
    )


def shipped_files() -> tuple[Path, ...]:
    """Return the files of all shipped checklists, by name."""
    found = shipped_folder().glob("*.toml")
    return tuple(sorted(p for p in found if "." not in p.stem))


def languages_of(path: Path) -> tuple[str, ...]:
    """Return the codes of the languages into which a checklist is translated."""
    found = path.parent.glob(f"{path.stem}.*.toml")
    return tuple(sorted(p.stem.rpartition(".")[2] for p in found))


def translation_path(path: Path, language: str) -> Path:
    """Return where the translation of a checklist file lies, there or not."""
    return path.with_name(f"{path.stem}.{language}.toml")


def rules_path(path: Path, name: str) -> Path:
    """Return the file of shared rules: beside the checklist, else the shipped one.

    Raises:
        ChecklistError: neither exists.
    """
    for folder in (path.parent, shipped_folder()):
        candidate = folder / "rules" / f"{name}.toml"
        if candidate.is_file():
            return candidate
    raise ChecklistError(
        f"{path}: shared_rules: there is no rules file {name!r}; put it at "
        f"{path.parent / 'rules' / (name + '.toml')} or take the name out"
    )


def read_checklist(path: Path) -> ChecklistFile:
    """Read a checklist file.

    Raises:
        ChecklistError: not readable, not TOML, or not in the format.
    """
    return _read(path, ChecklistFile)


def read_rules(path: Path) -> RulesFile:
    """Read a file of shared or site rules; raises like `read_checklist`."""
    return _read(path, RulesFile)


def read_translation(path: Path) -> TranslationFile:
    """Read a translation file; raises like `read_checklist`."""
    return _read(path, TranslationFile)


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file, numbers with a point as exact decimals.

    Raises:
        ChecklistError: not readable or not TOML.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError as problem:
        raise ChecklistError(f"{path}: there is no such file") from problem
    except OSError as problem:
        raise ChecklistError(f"{path}: cannot be read: {problem.strerror}") from problem
    except UnicodeDecodeError as problem:
        raise ChecklistError(f"{path}: is not UTF-8 text; save it as UTF-8") from (
            problem
        )
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as problem:
        raise ChecklistError(f"{path}: is not valid TOML: {problem}") from problem


def validate(data: dict[str, Any], model: type[_Model]) -> _Model | tuple[Problem, ...]:
    """Return the data as a model, or what is wrong with it.

    A list that pydantic calls too short only because its items are wrong is no
    problem of its own.
    """
    try:
        return model.model_validate(data)
    except ValidationError as problem:
        return tuple(
            error(place_of(data, tuple(e["loc"])), _sentence(e["type"], e["msg"]))
            for e in problem.errors(include_url=False)
            if not (e["type"] == "too_short" and e["input"])
        )


def place_of(data: Any, loc: tuple[int | str, ...]) -> str:
    """Return a place in a file in words: ids instead of list positions."""
    parts: list[str] = []
    here = data
    for step in loc:
        here = _step(here, step)
        if not isinstance(step, int):
            parts.append(str(step))
        elif isinstance(here, dict) and isinstance(here.get("id"), str):
            parts.append(here["id"])
        else:
            parts.append(f"number {step + 1}")
    return " > ".join(parts) or "the file"


def _step(here: Any, step: int | str) -> Any:
    if isinstance(here, list) and isinstance(step, int) and step < len(here):
        return here[step]
    return here.get(step) if isinstance(here, dict) else None


def _sentence(kind: str, message: str) -> str:
    if kind == "extra_forbidden":
        return "this key is not known; check its spelling or take it out"
    if kind == "missing":
        return "this key is missing; add it"
    return message[:1].lower() + message[1:]


def _read(path: Path, model: type[_Model]) -> _Model:
    result = validate(read_toml(path), model)
    if isinstance(result, tuple):
        raise refused(path, result)
    return result


def refused(path: Path, problems: tuple[Problem, ...]) -> ChecklistError:
    """Return the error for a file with problems: the first few, and how many."""
    shown = [f"{p.place}: {p.text}" for p in problems[:5]]
    more = len(problems) - len(shown)
    if more:
        shown.append(f"and {more} more")
    return ChecklistError(f"{path}: " + "; ".join(shown))
