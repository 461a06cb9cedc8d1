"""A scenario closed before the walk, and held against its seal afterwards.

The commitment is the SHA-256 of the canonical JSON (RFC 8785) of scenario,
criteria, time and a salt of 32 random bytes. It tells nothing of what is planted,
since the salt cannot be guessed; and nobody can find another scenario with the
same commitment. Given to the trainee before the walk, it proves afterwards that
nothing was changed. It names no assessor, so erasing a person does not break it.
The time is that of this computer: it is as good as its clock and whoever keeps it;
a slip of paper with the commitment is better.
"""

from __future__ import annotations

import json
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any

from voicecheck.clock import utc_text
from voicecheck.observe.criteria import Criteria, criteria_from_json, criteria_to_json
from voicecheck.observe.observation import Observation
from voicecheck.observe.scenario import Scenario
from voicecheck.observe.scenario_json import scenario_from_json, scenario_to_json
from voicecheck.people.names import ERASED_PREFIX
from voicecheck.record.canonical import sha256_of

FORMAT = "voicecheck-sealed-scenario/1"
SALT_BYTES = 32
SLACK = timedelta(seconds=60)
"""Clocks of two devices may differ; no trainee finds anything in that time."""


class SealState(StrEnum):
    """What the seal shows afterwards."""

    HOLDS = "holds"
    CHANGED = "changed"
    """What was opened is not what was sealed."""
    LATE = "late"
    """It was sealed, or the observation begun, after the walk had begun."""
    NOT_OPENED = "not_opened"
    ERASED = "erased"
    """Somebody whom it names was erased from the personal results since, so what was
    sealed cannot be compared any more. No proof of anything."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sealed:
    """A sealed scenario as it lies in its file."""

    document: dict[str, Any]
    """Everything that the commitment covers."""

    @property
    def commitment(self) -> str:
        """SHA-256 in lower-case hex."""
        return sha256_of(self.document)

    @property
    def sealed_utc(self) -> str:
        """When it was sealed."""
        return str(self.document["sealed_utc"])

    @property
    def scenario(self) -> Scenario:
        """What is planted."""
        return scenario_from_json(self.document["scenario"])

    @property
    def criteria(self) -> Criteria:
        """By what the walk is judged."""
        return criteria_from_json(self.document["criteria"])


def seal(
    scenario: Scenario,
    criteria: Criteria,
    *,
    at: datetime,
    salt: bytes | None = None,
) -> Sealed:
    """Close a scenario.

    Args:
        scenario: what is planted.
        criteria: by what the walk will be judged.
        at: now.
        salt: 32 random bytes; None: new ones.
    """
    return Sealed(
        document={
            "format": FORMAT,
            "sealed_utc": utc_text(at),
            "salt": (salt or secrets.token_bytes(SALT_BYTES)).hex(),
            "scenario": scenario_to_json(scenario),
            "criteria": criteria_to_json(criteria),
        }
    )


def opened(document: Any) -> Sealed:
    """Return a sealed scenario read from JSON data.

    Raises:
        ValueError: it is none.
    """
    wanted = {"format", "sealed_utc", "salt", "scenario", "criteria"}
    if not isinstance(document, dict) or set(document) != wanted:
        raise ValueError(f"a sealed scenario has the keys {', '.join(sorted(wanted))}")
    if document["format"] != FORMAT:
        raise ValueError(f"the format is {FORMAT}, not {document['format']!r}")
    if len(bytes.fromhex(document["salt"])) < SALT_BYTES:
        raise ValueError(f"a salt has {SALT_BYTES} bytes")
    datetime.fromisoformat(document["sealed_utc"])
    found = Sealed(document=document)
    _ = found.scenario, found.criteria  # both must be readable
    return found


def groups(commitment: str) -> str:
    """Return a commitment in groups of four, to be read out and compared."""
    return " ".join(commitment[at : at + 4] for at in range(0, len(commitment), 4))


def check(observation: Observation) -> SealState:
    """Hold what was opened against what was sealed, and both against the clock."""
    begun, shown = observation.begun, observation.opened
    if begun is None or shown is None:
        return SealState.NOT_OPENED
    try:
        document = opened(shown.sealed)
    except ValueError:
        return SealState.CHANGED
    if document.commitment != begun.commitment:
        return SealState.ERASED if _names_erased(shown.sealed) else SealState.CHANGED
    first = _first_seen(observation)
    if first is None:
        return SealState.HOLDS
    sealed = datetime.fromisoformat(document.sealed_utc)
    if max(sealed, datetime.fromisoformat(begun.at_utc)) > first + SLACK:
        return SealState.LATE
    return SealState.HOLDS


def _names_erased(data: Any) -> bool:
    """Tell whether the name of an erased person stands anywhere in JSON data."""
    return ERASED_PREFIX in json.dumps(data)


def _first_seen(observation: Observation) -> datetime | None:
    """When the walk is first heard of: a mark, or the trainee's own record."""
    seen = [mark.when_utc for mark in (*observation.marks, *observation.retracted)]
    if observation.joined is not None:
        seen.append(str(observation.joined.walk["started_utc"]))
    return min((datetime.fromisoformat(one) for one in seen), default=None)
