"""The published schemas are those of the models, and take what is shipped."""

from __future__ import annotations

import json
import tomllib
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from voicecheck.observe.published import PUBLISHED, schema_text
from voicecheck.observe.scenario_json import scenario_to_json
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import small_checklist

HERE = files("voicecheck.observe")


def validator(name: str) -> Any:
    """Return a validator of a shipped schema, by a library that is not ours."""
    text = HERE.joinpath(name).read_text("utf-8")
    return jsonschema.Draft202012Validator(json.loads(text))


@pytest.mark.parametrize("name", PUBLISHED)
def test_the_files_are_those_of_the_models(name: str) -> None:
    """`python -m voicecheck.observe.published` writes them anew."""
    assert HERE.joinpath(name).read_text("utf-8") == schema_text(name)


def test_the_usual_criteria_follow_their_schema() -> None:
    """And a key that is not known does not."""
    data = tomllib.loads(HERE.joinpath("criteria.toml").read_text("utf-8"))

    validator("criteria.schema.json").validate(data)
    assert not validator("criteria.schema.json").is_valid({**data, "more": 1})


def test_a_scenario_follows_its_schema() -> None:
    """As it is sealed."""
    data = scenario_to_json(w.scenario(small_checklist()))

    validator("scenario.schema.json").validate(data)
    assert not validator("scenario.schema.json").is_valid({**data, "format": 2})
