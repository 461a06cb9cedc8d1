"""Scenarios as JSON data and as the TOML file that an assessor writes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from voicecheck.checklists.files import read_toml
from voicecheck.errors import UsageError
from voicecheck.observe.scenario import PlantedFault, ReferenceTimes, Scenario
from voicecheck.record.answer_json import answer_from_json, answer_to_json
from voicecheck.round.answers import Answer
from voicecheck.round.checklist import Checklist

_Text = Annotated[str, Field(max_length=400)]
_Points = tuple[Annotated[str, Field(max_length=60)], ...]


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class _Planted(_Entry):
    """A planted fault."""

    checkpoint: str
    expected: dict[str, Any] = Field(description="An answer, as in records.")
    tag: _Text = ""
    described: _Text = ""
    also_at: _Points = ()
    critical: bool = False


class _Reference(_Entry):
    """Times by zone, in seconds."""

    source: str = Field(min_length=1, max_length=200)
    zones: dict[str, float] = Field(default_factory=dict)


class ScenarioFile(_Entry):
    """A scenario as an assessor writes it; version and hash are filled in."""

    format: Literal[1] = 1
    title: str = Field(min_length=1, max_length=120)
    checklist: str
    checklist_version: str = ""
    checklist_sha256: str = ""
    planted: tuple[_Planted, ...] = ()
    known_faults: _Points = ()
    left_out: _Points = ()
    reference: _Reference | None = None


def scenario_to_json(scenario: Scenario) -> dict[str, Any]:
    """Return a scenario as JSON data."""
    data: dict[str, Any] = {
        "format": 1,
        "title": scenario.title,
        "checklist": scenario.checklist,
        "checklist_version": scenario.checklist_version,
        "checklist_sha256": scenario.checklist_sha256,
        "planted": [
            {
                "checkpoint": fault.checkpoint,
                "expected": answer_to_json(fault.expected),
                "tag": fault.tag,
                "described": fault.described,
                "also_at": list(fault.also_at),
                "critical": fault.critical,
            }
            for fault in scenario.planted
        ],
        "known_faults": list(scenario.known_faults),
        "left_out": list(scenario.left_out),
        "reference": None,
    }
    if scenario.reference is not None:
        data["reference"] = {
            "source": scenario.reference.source,
            "zones": {z: float(s) for z, s in scenario.reference.zones.items()},
        }
    return data


def scenario_from_json(data: Any) -> Scenario:
    """Return the scenario that JSON data stands for.

    Raises:
        ValueError: a key is missing or unknown, or a value is not possible.
    """
    file = ScenarioFile.model_validate(data)
    return Scenario(
        title=file.title,
        checklist=file.checklist,
        checklist_version=file.checklist_version,
        checklist_sha256=file.checklist_sha256,
        planted=tuple(
            PlantedFault(
                checkpoint=one.checkpoint,
                expected=_answer(one.checkpoint, one.expected),
                tag=one.tag.strip(),
                described=one.described.strip(),
                also_at=one.also_at,
                critical=one.critical,
            )
            for one in file.planted
        ),
        known_faults=file.known_faults,
        left_out=file.left_out,
        reference=_reference(file.reference),
    )


def read_scenario(path: Path) -> tuple[str, dict[str, Any]]:
    """Return the name of the checklist and the data of a scenario file.

    Raises:
        UsageError: the file is no scenario.
    """
    data = read_toml(path)
    try:
        return ScenarioFile.model_validate(data).checklist, data
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        place = " > ".join(str(step) for step in first["loc"]) or "the file"
        raise UsageError(f"{path}: {place}: {first['msg']}") from error


def on_checklist(data: dict[str, Any], checklist: Checklist) -> Scenario:
    """Return the scenario of a file, bound to the checklist that was loaded.

    Raises:
        UsageError: a value is not possible; the text says which.
    """
    bound = {
        **data,
        "checklist": checklist.name,
        "checklist_version": checklist.version,
        "checklist_sha256": checklist.sha256,
    }
    try:
        return scenario_from_json(bound)
    except ValueError as error:
        raise UsageError(str(error)) from error


def _reference(given: _Reference | None) -> ReferenceTimes | None:
    if given is None:
        return None
    return ReferenceTimes(source=given.source, zones=given.zones)


def _answer(checkpoint: str, data: dict[str, Any]) -> Answer:
    try:
        return answer_from_json(data)
    except ValueError as error:
        raise ValueError(f"{checkpoint}: expected: {error}") from error
