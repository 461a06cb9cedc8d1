"""The published JSON Schemas are current and accept what the loader accepts."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from voicecheck.checklists.files import shipped_files, shipped_folder
from voicecheck.checklists.published import PUBLISHED, schema_text, write


def schema(name: str) -> Any:
    """Return a published schema as shipped."""
    return json.loads((shipped_folder() / name).read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", PUBLISHED)
def test_is_current(name: str) -> None:
    """The shipped schema is what the models say today.

    When this fails: python -m voicecheck.checklists.published
    """
    shipped = (shipped_folder() / name).read_text(encoding="utf-8")
    assert shipped == schema_text(name)


@pytest.mark.parametrize("name", PUBLISHED)
def test_is_a_valid_schema(name: str) -> None:
    """Each schema is valid JSON Schema, draft 2020-12."""
    jsonschema.Draft202012Validator.check_schema(schema(name))


def test_shipped_files_conform() -> None:
    """An independent validator accepts every shipped file of each kind."""
    folder = shipped_folder()
    kinds = {
        "checklist.schema.json": list(shipped_files()),
        "rules.schema.json": list((folder / "rules").glob("*.toml")),
        "translation.schema.json": list(folder.glob("*.*.toml")),
    }
    assert kinds["checklist.schema.json"]
    assert kinds["rules.schema.json"]
    for name, paths in kinds.items():
        validator = jsonschema.Draft202012Validator(schema(name))
        for path in paths:
            data = tomllib.loads(path.read_text(encoding="utf-8"))
            assert list(validator.iter_errors(data)) == [], path.name


def test_translation_conforms(translation: str) -> None:
    """An independent validator accepts a complete translation."""
    jsonschema.validate(tomllib.loads(translation), schema("translation.schema.json"))


@pytest.mark.parametrize(
    "change",
    [
        ('title = "outside"', 'title = "outside"\nhazrads = []'),
        ('id = "horn"', 'id = "Horn-1"'),
        ('kind = "function"', 'kind = "feeling"'),
        ('look = "Sound it."\n', ""),
    ],
)
def test_refuses_what_the_loader_refuses(minimal: str, change: tuple[str, str]) -> None:
    """Unknown keys, ids, kinds and missing keys fail in the schema too."""
    validator = jsonschema.Draft202012Validator(schema("checklist.schema.json"))
    assert validator.is_valid(tomllib.loads(minimal))
    assert not validator.is_valid(tomllib.loads(minimal.replace(*change)))


def test_write(tmp_path: Path) -> None:
    """Writing gives one file for each schema."""
    write(tmp_path)
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(PUBLISHED)
