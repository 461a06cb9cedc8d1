"""The form of an exported result. `document.py` fills it in."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class IntervalPart(_Part):
    """A confidence interval at `certainty`."""

    low: float
    high: float


class SharePart(_Part):
    """So many of so many, with Wilson's interval."""

    count: int
    of: int
    interval: IntervalPart


class FaultPart(_Part):
    """One planted fault."""

    checkpoint: str
    zone: str
    expected: dict[str, Any] = Field(description="An answer, as in records.")
    tag: str
    described: str
    severity: str
    critical: bool
    found: bool
    found_at: str | None
    look: str
    said: dict[str, Any] | None
    said_severity: str | None
    right_class: bool | None


class PointPart(_Part):
    """One point of the walk."""

    checkpoint: str
    zone: str
    look: str
    called: bool
    out_of_order: bool


class DetectionPart(_Part):
    """Signal detection, with the log-linear correction."""

    d_prime: float
    d_prime_interval: IntervalPart
    criterion: float
    criterion_interval: IntervalPart
    hit_rate: float
    false_alarm_rate: float


class MissesPart(_Part):
    """Whether the planted faults tell enough."""

    shown: str
    missed: int
    planted: int
    allowed_share: float
    at_most: float
    at_least: float
    needed: int


class StepPart(_Part):
    """One difference between the orders."""

    kind: str
    item: str
    after: str | None
    walked_after: str | None


class OrderPart(_Part):
    """The order walked."""

    basis: str
    points: int
    tau: float | None
    zone_tau: float | None
    distance: int
    steps: list[StepPart]
    zone_steps: list[StepPart]
    marked: list[str]


class ZoneTimePart(_Part):
    """The time of one zone, in seconds."""

    zone: str
    seconds: float | None
    reference_s: float | None


class TimesPart(_Part):
    """Times by zone."""

    reference: str
    source: str
    zones: list[ZoneTimePart]


class KappaPart(_Part):
    """Agreement on severities: rows as planted, columns as called."""

    value: float | None
    interval: IntervalPart | None
    word: str | None
    observed: float | None
    count: int
    rows: list[float]
    columns: list[float]


class UnsafePart(_Part):
    """One unsafe act."""

    act: str
    at_utc: str
    checkpoint: str | None
    note: str


class CriterionPart(_Part):
    """One criterion."""

    id: str
    measure: str
    at_least: float | None
    at_most: float | None
    value: float | None
    trials: int
    standing: str
    sure: bool | None
    needed: int | None
    source: str


class CriticalPart(_Part):
    """Something that fails at once."""

    id: str
    happened: bool
    where: list[str]
    unknown: list[str]
    source: str


class DecisionPart(_Part):
    """What the criteria propose."""

    standing: str
    broken_off: bool
    criteria: list[CriterionPart]
    critical: list[CriticalPart]


class DoubtPart(_Part):
    """Something to look at again."""

    kind: str
    detail: str


class SealPart(_Part):
    """The seal."""

    state: str
    commitment: str
    sealed_utc: str
    sealed: dict[str, Any] = Field(description="All that the commitment covers.")


class ResultDocument(_Part):
    """The result of one observed walk."""

    format: Literal["voicecheck-observation/1"] = "voicecheck-observation/1"
    observation: str
    trainee: str
    assessor: str
    unit: str
    checklist: dict[str, str]
    begun_utc: str
    ended_utc: str
    ended_reason: str
    walk_id: str | None = Field(description="Of the trainee's own record.")
    basis: str
    certainty: float
    seal: SealPart
    planted: list[FaultPart]
    found: SharePart
    false_alarms: list[str]
    false_alarm: SharePart
    detection: DetectionPart | None
    misses: MissesPart
    coverage: SharePart
    order: OrderPart
    times: TimesPart
    severity: KappaPart
    unsafe: list[UnsafePart]
    points: list[PointPart]
    decision: DecisionPart
    doubts: list[DoubtPart]
