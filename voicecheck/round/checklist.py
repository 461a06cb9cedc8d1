"""What is asked on a walk, as plain immutable data.

Files are read by `voicecheck.checklists`; nothing here knows of files.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from voicecheck.round.answers import LeakClass, Level, Severity


class CheckpointKind(StrEnum):
    """What a checkpoint asks for."""

    START = "start"
    """Yes or no before the machine is touched; no stops the walk."""
    CONDITION = "condition"
    """Good, defect, leak, not fitted, could not check."""
    FUNCTION = "function"
    """Like a condition, tried from the seat."""
    LEVEL = "level"
    """Full, between the marks, low, empty; or leak, not fitted, could not check."""
    READING = "reading"
    """A number with a unit; or not fitted, could not check."""


class Place(StrEnum):
    """Where the operator stands. A change of place is a climb."""

    GROUND = "ground"
    PLATFORM = "platform"
    CAB = "cab"


class Outcome(StrEnum):
    """May the machine work today?"""

    MAY_WORK = "may_work"
    MAY_WORK_WITH_DEFECTS = "may_work_with_defects"
    OUT_OF_SERVICE = "out_of_service"

    @property
    def rank(self) -> int:
        """0 for may work … 2 for out of service."""
        return list(Outcome).index(self)


class ReadingState(StrEnum):
    """Where a reading lies against the limits of its checkpoint."""

    IN_LIMITS = "in_limits"
    LOW = "low"
    HIGH = "high"
    FAR_LOW = "far_low"
    FAR_HIGH = "far_high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fluid:
    """A fluid of the machine."""

    id: str
    name: str
    """As spoken, for example "hydraulic oil"."""
    unit: str
    """Of a refill, for example "L"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSpec:
    """Unit, plausible range and limits of a reading. Limits may be absent."""

    quantity: str
    """For example "pressure", "duration", "length"."""
    unit: str
    plausible_min: Decimal
    plausible_max: Decimal
    far_low: Decimal | None = None
    """Below this: far too low."""
    low: Decimal | None = None
    """Below this: low."""
    high: Decimal | None = None
    """Above this: high."""
    far_high: Decimal | None = None
    """Above this: far too high."""
    decimals: int = 1
    """Most digits after the decimal point."""
    limits_source: str = ""
    """Where the limits come from; the machine's manual comes first."""

    def is_plausible(self, value: Decimal) -> bool:
        """Tell whether the number can be believed at all."""
        if not value.is_finite():
            return False
        return self.plausible_min <= value <= self.plausible_max

    def shows(self, value: Decimal) -> bool:
        """Tell whether the gauge has that many digits after the point."""
        return value == round(value, self.decimals)

    def state(self, value: Decimal) -> ReadingState:
        """Place a value against the limits; a value on a limit is within it."""
        if self.far_low is not None and value < self.far_low:
            return ReadingState.FAR_LOW
        if self.far_high is not None and value > self.far_high:
            return ReadingState.FAR_HIGH
        if self.low is not None and value < self.low:
            return ReadingState.LOW
        if self.high is not None and value > self.high:
            return ReadingState.HIGH
        return ReadingState.IN_LIMITS


@dataclass(frozen=True, slots=True, kw_only=True)
class Checkpoint:
    """One thing to look at, with one question."""

    id: str
    zone_id: str
    kind: CheckpointKind
    prompt: str
    """Short, spoken; aim at 2.5 s or less."""
    look: str
    """For learners: what to look at."""
    wrong: str
    """For learners: what wrong looks like."""
    why: str
    """For learners: why it matters."""
    hazards: tuple[str, ...] = ()
    """Cautions spoken before the prompt."""
    fluids: tuple[str, ...] = ()
    """Ids of the fluids that can leak here; empty: any of the checklist."""
    level_of: str | None = None
    """For a level: id of the fluid."""
    reading: ReadingSpec | None = None
    tags: tuple[str, ...] = ()
    """What rules match on, for example "brakes", "steering", "wheels"."""
    may_be_absent: bool = False
    """Whether "not fitted" is a possible answer."""
    stop_text: str = ""
    """For a start check: what is said when the answer is no."""
    min_look_s: float = 1.0
    """An answer faster than this after the prompt begins is flagged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A part of the way round, walked in one go."""

    id: str
    title: str
    """As spoken, for example "left front wheel"."""
    place: Place
    """Where the operator stands here."""
    from_station: str
    """Where on the way round the zone begins; the one before ends there."""
    to_station: str
    climb_caution: str = ""
    """Said before a climb to or from this zone; empty: the usual words."""
    checkpoints: tuple[Checkpoint, ...] = ()
    plan_x: float = 0.5
    """Where a finding of this zone is drawn on the plan view, 0 left … 1 right."""
    plan_y: float = 0.5
    """0 front … 1 rear."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule of decision. Every condition that is given must hold."""

    id: str
    outcome: Outcome
    text: str
    """What it says, in words that an operator understands."""
    source: str
    """The text of law or standard, or "common practice, no source"."""
    answers: tuple[str, ...] = ()
    """Names of answers it applies to ("defect", "leak", "no", …); empty: any."""
    checkpoints: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    """Any one of these tags."""
    severity_at_least: Severity | None = None
    leak_class_at_least: LeakClass | None = None
    fluids: tuple[str, ...] = ()
    levels: tuple[Level, ...] = ()
    """The level seen at this checkpoint is one of these."""
    reading_states: tuple[ReadingState, ...] = ()
    fluid_level_in: tuple[str, ...] = ()
    """The level of the leaking fluid is one of these, or "unknown"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Checklist:
    """A whole walkaround."""

    name: str
    version: str
    title: str
    machine: str
    fluids: tuple[Fluid, ...]
    zones: tuple[Zone, ...]
    rules: tuple[Rule, ...]
    declaration: str
    """What the operator declares at the end."""
    cautions: tuple[str, ...]
    """Said at the start and printed in every record."""
    sha256: str
    """Of the canonical JSON of the whole checklist."""
    language: str = "en"

    @property
    def checkpoints(self) -> tuple[Checkpoint, ...]:
        """All checkpoints in walking order."""
        return tuple(c for zone in self.zones for c in zone.checkpoints)

    def checkpoint(self, checkpoint_id: str) -> Checkpoint:
        """Return one checkpoint; KeyError when there is none."""
        for checkpoint in self.checkpoints:
            if checkpoint.id == checkpoint_id:
                return checkpoint
        raise KeyError(checkpoint_id)

    def zone(self, zone_id: str) -> Zone:
        """Return one zone; KeyError when there is none."""
        for zone in self.zones:
            if zone.id == zone_id:
                return zone
        raise KeyError(zone_id)

    def fluid(self, fluid_id: str) -> Fluid:
        """Return one fluid; KeyError when there is none."""
        for fluid in self.fluids:
            if fluid.id == fluid_id:
                return fluid
        raise KeyError(fluid_id)
