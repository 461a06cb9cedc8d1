"""The published JSON Schemas of scenarios, criteria and results.

`python -m voicecheck.observe.published` writes them anew; a test holds the files
against the models.
"""

from __future__ import annotations

import json
from importlib.resources import as_file, files
from pathlib import Path

from pydantic import BaseModel

from voicecheck.observe.criteria import Criteria
from voicecheck.observe.document_models import ResultDocument
from voicecheck.observe.scenario_json import ScenarioFile

PUBLISHED: dict[str, type[BaseModel]] = {
    "criteria.schema.json": Criteria,
    "result.schema.json": ResultDocument,
    "scenario.schema.json": ScenarioFile,
}
"""File name of each schema with the model that it describes."""


def schema_text(name: str) -> str:
    """Return the text of a published schema; KeyError when there is none."""
    written = PUBLISHED[name] is ResultDocument
    schema = PUBLISHED[name].model_json_schema(
        mode="serialization" if written else "validation"
    )
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["$id"] = f"urn:voicecheck:{name}"
    return json.dumps(schema, indent=2, ensure_ascii=False, sort_keys=True) + "\n"


def write(folder: Path) -> None:
    """Write every schema into a folder."""
    for name in PUBLISHED:
        (folder / name).write_text(schema_text(name), encoding="utf-8")


if __name__ == "__main__":
    with as_file(files("voicecheck.observe")) as here:
        write(here)
