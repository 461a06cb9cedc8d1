"""What the figures of a period need from one record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from sys import intern
from typing import Any

from voicecheck.statistics.defects import Seen
from voicecheck.statistics.pace import WalkPace
from voicecheck.statistics.shifts import WalkDone

Data = Mapping[str, Any]

SIMULATED = "simulated"
"""Mode of walks that nobody walked."""
_LOOKED_AT = frozenset({"good", "yes", "level", "reading", "not_fitted"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading with its limits."""

    unit: str
    """The machine."""
    checkpoint: str
    title: str
    at: datetime
    value: float
    measure: str
    """Its unit of measure."""
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """One walk, taken apart."""

    done: WalkDone
    pace: WalkPace
    operator: str
    checklist: str
    """Its name."""
    outcome: str
    hour_meter_h: float | None
    zones: tuple[str, ...]
    """Title of the zone of each finding."""
    seen: tuple[Seen, ...]
    readings: tuple[Reading, ...]
    titles: Mapping[str, str]
    """Checkpoints in words."""


def walked(document: Data, *, looks: bool = True) -> Walked:
    """Take a record apart.

    Args:
        document: a record that follows `voicecheck/record/record.schema.json`.
        looks: keep what was seen at each point, good or bad.
    """
    content, walk, words = document["content"], document["walk"], document["words"]
    start = datetime.fromisoformat(walk["started_utc"])
    titles = {zone["zone"]: zone["title"] for zone in words["zones"]}
    meter = content["hour_meter"]
    return Walked(
        done=WalkDone(
            walk_id=document["record_id"],
            unit=content["unit"],
            start=start,
            signed=content["status"] == "signed",
        ),
        pace=_pace(document),
        operator=content["operator"],
        checklist=content["checklist"]["name"],
        outcome=content["decision"]["outcome"],
        hour_meter_h=None if meter is None else float(meter["value"]),
        zones=tuple(titles.get(f["zone"], f["zone"]) for f in content["findings"]),
        seen=_seen(content, start) if looks else (),
        readings=tuple(_readings(document, start)),
        titles=words["prompts"],
    )


def _pace(document: Data) -> WalkPace:
    walk = document["walk"]
    standing = [entry for entry in document["how"] if not entry["withdrawn"]]
    return WalkPace(
        walk_id=document["record_id"],
        answers=len(standing),
        too_fast=sum(bool(entry["too_fast"]) for entry in standing),
        walking_s=max(walk["duration_s"] - walk["paused_s"], 0.0),
    )


def _seen(content: Data, at: datetime) -> tuple[Seen, ...]:
    """A finding is bad; any other answer of somebody who looked is good."""
    bad = {
        finding["checkpoint"]
        for finding in content["findings"]
        if finding["answer"] != "could_not_check"
    }
    return tuple(
        Seen(
            unit=content["unit"],
            checkpoint=answer["checkpoint"],
            at=at,
            bad=answer["checkpoint"] in bad,
        )
        for answer in content["answers"]
        if answer["checkpoint"] in bad or answer["answer"] in _LOOKED_AT
    )


def _readings(document: Data, at: datetime) -> list[Reading]:
    content, words = document["content"], document["words"]
    readings = []
    for reading in content["readings"]:
        # kept once for all walks: a year of a fleet has a million readings
        name = intern(reading["checkpoint"])
        limits = words["limits"].get(name, {})
        readings.append(
            Reading(
                unit=intern(content["unit"]),
                checkpoint=name,
                title=intern(words["prompts"].get(name, name)),
                at=at,
                value=float(reading["value"]),
                measure=intern(reading["unit"]),
                low=limits.get("low"),
                high=limits.get("high"),
            )
        )
    return readings
