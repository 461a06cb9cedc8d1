"""What the record of a walk has found, as sightings of defects."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from voicecheck.defects.events import DefectFound, Sighting, StillThere
from voicecheck.round.answers import Severity
from voicecheck.round.checklist import Outcome
from voicecheck.round.decision import FindingKind
from voicecheck.store.names import is_training

SIMULATED = "simulated"
"""Mode of walks that nobody walked: what they find is no defect."""

ANONYMOUS = "operator"
"""Who found a defect when the walk names nobody."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One finding of one walk."""

    checkpoint_id: str
    title: str
    sighting: Sighting

    def opening(self, unit: str) -> DefectFound:
        """Return the first event of a new defect."""
        return DefectFound(
            unit=unit,
            checkpoint_id=self.checkpoint_id,
            title=self.title,
            sighting=self.sighting,
        )

    def again(self) -> StillThere:
        """Return the event for a defect that is open already."""
        return StillThere(sighting=self.sighting)


def findings_of(document: Mapping[str, Any]) -> tuple[Found, ...]:
    """Return the findings of a record, whether the walk was signed or not.

    A walk that was stopped or not signed counts too: what was seen was seen. A
    start check that was answered no is about the moment, not about the machine.
    On a training unit faults are planted: what is found there is no defect.

    Args:
        document: a record as JSON data.
    """
    if document["walk"]["mode"] == SIMULATED:
        return ()
    if is_training(document["content"]["unit"]):
        return ()
    prompts = document["words"]["prompts"]
    fluids = document["words"]["fluids"]
    return tuple(
        Found(
            checkpoint_id=finding["checkpoint"],
            title=prompts.get(finding["checkpoint"], finding["checkpoint"]),
            sighting=Sighting(
                walk_id=document["record_id"],
                severity=Severity(finding["severity"]),
                holds=finding["outcome"] == Outcome.OUT_OF_SERVICE.value,
                words=finding_words(finding, fluids),
                rules=tuple(finding["rules"]),
            ),
        )
        for finding in document["content"]["findings"]
        if finding["kind"] != FindingKind.START_CHECK.value
    )


def finding_words(finding: Mapping[str, Any], fluids: Mapping[str, str]) -> str:
    """Return a finding in a few words, as "cracked, major"."""
    match finding["answer"]:
        case "defect":
            text = f"{finding['fault']}, {finding['severity']}"
        case "leak":
            fluid = fluids.get(finding["fluid"], finding["fluid"])
            text = f"{fluid} leak, class {finding['leak_class']}"
        case "could_not_check":
            text = f"could not be checked: {finding['reason']}"
        case "level":
            text = f"level {finding['level']}"
        case "reading":
            text = f"reading {finding['value']:g} {finding.get('unit', '')}".strip()
        case other:
            text = str(other)
    return text.replace("_", " ")
