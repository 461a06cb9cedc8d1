"""The TOML files of checklists, rules and translations as pydantic models.

Unknown keys are refused: a misspelt key would silently drop a safety question.
These models stay at the edge; `voicecheck.checklists.domain` turns them into
the types of `voicecheck.round.checklist`.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    PlainSerializer,
    StringConstraints,
)

from voicecheck.checklists.tags import Tag
from voicecheck.round.answers import LeakClass, Level, Severity
from voicecheck.round.checklist import CheckpointKind, Outcome, Place, ReadingState

Id = Annotated[
    str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$", max_length=60)
]
"""snake_case, beginning with a letter."""
Text = Annotated[
    str, StringConstraints(min_length=1, max_length=400, strip_whitespace=True)
]
Name = Annotated[
    str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", max_length=60)
]
"""Of a checklist and of its file: lower case with hyphens."""
Language = Annotated[str, StringConstraints(pattern=r"^[a-z]{2,3}$")]
"""ISO 639 code."""
Number = Annotated[
    Decimal,
    Field(allow_inf_nan=False),
    PlainSerializer(lambda value: format(value.normalize(), "f"), return_type=str),
]
"""An exact number; 6.2 and 6.20 are written, and hashed, alike."""
AnswerName = Literal[
    "yes",
    "no",
    "good",
    "defect",
    "leak",
    "not_fitted",
    "could_not_check",
    "level",
    "reading",
]
"""Names of answers, as in rules and records."""


class Entry(BaseModel):
    """Root of every table of the files."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class FluidEntry(Entry):
    """A fluid of the machine."""

    id: Id
    name: Text = Field(description="As spoken.")
    unit: Literal["L", "kg"] = Field(description="Of a refill.")


class ReadingEntry(Entry):
    """Unit, plausible range and limits of a reading."""

    quantity: Id = Field(description="For example pressure, duration, length.")
    unit: str = Field(min_length=1, max_length=12)
    plausible_min: Number
    plausible_max: Number
    far_low: Number | None = Field(None, description="Below this: far too low.")
    low: Number | None = Field(None, description="Below this: low.")
    high: Number | None = Field(None, description="Above this: high.")
    far_high: Number | None = Field(None, description="Above this: far too high.")
    decimals: int = Field(1, ge=0, le=3)
    limits_source: str = Field("", description="Where the limits come from.")


class CheckpointEntry(Entry):
    """One thing to look at, with one question."""

    id: Id
    kind: CheckpointKind
    prompt: Text = Field(description="Spoken; aim at 2.5 seconds or less.")
    look: Text = Field(description="For learners: what to look at.")
    wrong: Text = Field(description="For learners: what wrong looks like.")
    why: Text = Field(description="For learners: why it matters.")
    hazards: tuple[Text, ...] = Field((), description="Spoken before the prompt.")
    fluids: tuple[Id, ...] = Field(
        (), description="Fluids that can leak here; empty: any of the checklist."
    )
    level_of: Id | None = Field(None, description="For a level: id of the fluid.")
    reading: ReadingEntry | None = None
    tags: tuple[Tag, ...] = Field((), description="What rules match on.")
    may_be_absent: bool = Field(False, description='Is "not fitted" an answer?')
    stop_text: str = Field(
        "", max_length=400, description='Start check: said when the answer is "no".'
    )
    min_look_s: float = Field(
        1.0, ge=0, le=60, description="A faster answer is flagged, in seconds."
    )


class ZoneEntry(Entry):
    """A part of the way round."""

    id: Id
    title: Text = Field(description="As spoken.")
    place: Place = Field(description="A change of place is a climb.")
    from_station: Id = Field(description="Where the zone before ends.")
    to_station: Id = Field(description="Where the next zone begins.")
    climb_caution: str = Field(
        "", max_length=200, description="Said before the climb; empty: the usual one."
    )
    plan_x: float = Field(0.5, ge=0, le=1, description="On the plan: 0 left, 1 right.")
    plan_y: float = Field(0.5, ge=0, le=1, description="On the plan: 0 front, 1 rear.")
    checkpoints: tuple[CheckpointEntry, ...] = Field(min_length=1)


class RuleEntry(Entry):
    """A rule of decision. Every condition that is given must hold."""

    id: Id
    outcome: Outcome
    text: Text = Field(description="What it says, spoken at the end.")
    source: Text = Field(
        description='Law or standard, or "common practice, no source".'
    )
    answers: tuple[AnswerName, ...] = ()
    checkpoints: tuple[Id, ...] = ()
    tags: tuple[Tag, ...] = Field((), description="Any one of these.")
    severity_at_least: Severity | None = None
    leak_class_at_least: LeakClass | None = None
    fluids: tuple[Id, ...] = Field((), description="The fluid that leaks.")
    levels: tuple[Level, ...] = ()
    reading_states: tuple[ReadingState, ...] = ()
    fluid_level_in: tuple[
        Literal["full", "between", "low", "empty", "unknown"], ...
    ] = Field((), description="Level of the fluid that leaks.")


class ChecklistFile(Entry):
    """A whole walkaround, as written in its file."""

    format: Literal[1]
    name: Name
    version: Annotated[str, StringConstraints(pattern=r"^\d+\.\d+\.\d+$")]
    language: Language
    title: Text
    machine: Text
    shared_rules: tuple[Name, ...] = Field(
        (), description="Names of rules files that this checklist includes."
    )
    climb_caution: Text = Field(description="Said before every climb, up or down.")
    declaration: Text = Field(description="What the operator declares at the end.")
    cautions: tuple[Text, ...] = Field(min_length=1)
    fluids: tuple[FluidEntry, ...]
    zones: tuple[ZoneEntry, ...] = Field(min_length=1)
    rules: tuple[RuleEntry, ...] = Field((), description="Own rules.")


class RulesFile(Entry):
    """Rules shared by checklists, or the rules that a site adds."""

    format: Literal[1]
    rules: tuple[RuleEntry, ...] = Field(min_length=1)


class ZoneTranslation(Entry):
    """The words of a zone in another language."""

    title: Text
    climb_caution: str = Field("", max_length=200)


class CheckpointTranslation(Entry):
    """The words of a checkpoint in another language."""

    prompt: Text
    look: Text | None = Field(None, description="Absent: the English text is shown.")
    wrong: Text | None = None
    why: Text | None = None
    hazards: tuple[Text, ...] = Field((), description="As many as in English.")
    stop_text: str = Field("", max_length=400)


class TranslationFile(Entry):
    """The words of a checklist in another language; everything else stays."""

    format: Literal[1]
    checklist: Name
    checklist_version: Annotated[str, StringConstraints(pattern=r"^\d+\.\d+\.\d+$")]
    language: Language
    title: Text
    machine: Text
    climb_caution: Text
    declaration: Text
    cautions: tuple[Text, ...]
    fluids: dict[Id, Text] = Field(description="Id of the fluid: its spoken name.")
    zones: dict[Id, ZoneTranslation]
    checkpoints: dict[Id, CheckpointTranslation]
    rules: dict[Id, Text] = Field(description="Id of the rule: its text.")
