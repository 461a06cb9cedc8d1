"""The published JSON Schemas of the files, generated from the models.

`python -m voicecheck.checklists.published` writes them anew; a test holds the
files against the models.
"""

from __future__ import annotations

import json
from pathlib import Path

from voicecheck.checklists.files import shipped_folder
from voicecheck.checklists.schema import (
    ChecklistFile,
    Entry,
    RulesFile,
    TranslationFile,
)

PUBLISHED: dict[str, type[Entry]] = {
    "checklist.schema.json": ChecklistFile,
    "rules.schema.json": RulesFile,
    "translation.schema.json": TranslationFile,
}
"""File name of each schema with the model that it describes."""


def schema_text(name: str) -> str:
    """Return the text of a published schema; KeyError when there is none."""
    schema = PUBLISHED[name].model_json_schema(mode="validation")
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["$id"] = f"urn:voicecheck:{name}"
    return json.dumps(schema, indent=2, ensure_ascii=False, sort_keys=True) + "\n"


def write(folder: Path) -> None:
    """Write every schema into a folder."""
    for name in PUBLISHED:
        (folder / name).write_text(schema_text(name), encoding="utf-8")


if __name__ == "__main__":
    write(shipped_folder())
