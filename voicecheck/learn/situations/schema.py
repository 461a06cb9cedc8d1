"""The files of situations as models; an unknown key or slot is an error."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, RootModel

from voicecheck.round.answers import Fault, LeakClass, Level, Severity

Text = Annotated[str, Field(min_length=1, max_length=300)]
Texts = Annotated[tuple[Text, ...], Field(min_length=1)]
Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$")]
Pattern = Annotated[str, Field(pattern=r"^[a-z0-9_*]+$")]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class DefectEntry(_Strict):
    """One thing that can be wrong with a part, and how bad it is."""

    fault: Fault
    severity: Severity
    texts: Texts
    why: Text
    """Why it is as bad as that."""


class SeatEntry(_Strict):
    """A place where a fluid can come out. One thing, with its article."""

    text: Text
    fluids: Annotated[tuple[Key, ...], Field(min_length=1)]
    points: tuple[Pattern, ...] = ()
    """Only at these checkpoints; empty: wherever the part is."""


class PartEntry(_Strict):
    """A kind of part, at every checkpoint that looks at one."""

    points: Annotated[tuple[Pattern, ...], Field(min_length=1)]
    """Ids of checkpoints; `*` stands for anything."""
    caution: str = ""
    """How the part can hurt."""
    seats: tuple[SeatEntry, ...] = ()
    any_fluid: bool = False
    """Seats count even where the checkpoint names no fluid: the ground below."""
    yes: dict[Key, Text] = {}
    no: dict[Key, Text] = {}
    good: dict[Key, Text] = {}
    unseen: dict[Key, Text] = {}
    """Why it could not be checked."""
    defects: dict[Key, DefectEntry] = {}


class PartsFile(RootModel[dict[Key, PartEntry]]):
    """One file of parts."""


class AmountsFile(RootModel[dict[Key, Texts]]):
    """Lists of amounts; each member fits where its list is named."""


class ClassEntry(_Strict):
    """How a leak of one class looks."""

    texts: Texts


class LeaksFile(_Strict):
    """How leaks look, whatever the part."""

    classes: dict[LeakClass, ClassEntry]
    levels: dict[Key, Text]
    cautions: dict[Key, Text]
    """By fluid. A fluid without one is never described as a leak."""


class LevelsFile(_Strict):
    """What a stick or glass shows."""

    texts: dict[Level, Texts]
    cautions: dict[Key, Text] = {}


class ReadingEntry(_Strict):
    """A number against the limits of its checkpoint."""

    tag: str = ""
    points: tuple[Pattern, ...] = ()
    text: Text
    limits: Text
    caution: str = ""


class ReadingsFile(RootModel[dict[Key, ReadingEntry]]):
    """All kinds of readings."""
