"""Which question comes next at one checkpoint, and what the parts add up to.

A checkpoint is answered in parts: "defect" leads to "which fault?" and "how
severe?", "leak" to "which fluid?" and "which class?". The parts become an
`Answer` only when they are complete; an unfinished answer cannot be recorded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum

from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Fault,
    Good,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    No,
    NotFitted,
    ReadingTaken,
    Reason,
    Severity,
    Yes,
)
from voicecheck.round.checklist import Checklist, Checkpoint, CheckpointKind


class QuestionName(StrEnum):
    """The questions; each has one grammar file per language."""

    START_CHECK = "start_check"
    CONDITION = "condition"
    FAULT = "fault"
    SEVERITY = "severity"
    FLUID = "fluid"
    LEAK_CLASS = "leak_class"
    LEVEL = "level"
    NUMBER = "number"
    DIGIT = "digit"
    """The same one digit at a time, when it was not understood as a whole."""
    REASON = "reason"
    YES_NO = "yes_no"
    """Is the read-back right? Also the declaration."""
    CLIMB = "climb"
    """Are both feet down?"""
    PAUSED = "paused"
    """Waiting for "carry on"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question as it stands now."""

    name: QuestionName
    checkpoint_id: str | None = None
    meanings: tuple[str, ...] | None = None
    """The meanings that fit here; None: all of the grammar."""


Parts = Mapping[QuestionName, str]
"""Meanings heard so far at one checkpoint, by question."""

_FIRST = {
    CheckpointKind.START: QuestionName.START_CHECK,
    CheckpointKind.CONDITION: QuestionName.CONDITION,
    CheckpointKind.FUNCTION: QuestionName.CONDITION,
    CheckpointKind.LEVEL: QuestionName.LEVEL,
    CheckpointKind.READING: QuestionName.NUMBER,
}

_YES_OR_NO = ("yes", "no")
_NO_NUMBERS = ("could_not_check", "not_fitted")
"""Answers to the question for a number that are none."""
_SIMPLE: dict[str, Answer] = {
    "good": Good(),
    "yes": Yes(),
    "no": No(),
    "not_fitted": NotFitted(),
}


def first_question(checkpoint: Checkpoint) -> Question:
    """Return the question that opens a checkpoint."""
    name = _FIRST[checkpoint.kind]
    meanings: tuple[str, ...] | None = None
    if name is QuestionName.CONDITION:
        meanings = ("good", "defect", "leak", "could_not_check")
    elif name is QuestionName.LEVEL:
        meanings = (*(level.value for level in Level), "leak", "could_not_check")
    elif name is QuestionName.NUMBER:
        meanings = ("number", "could_not_check")
    if meanings is not None and checkpoint.may_be_absent:
        meanings = (*meanings, "not_fitted")
    return Question(name=name, checkpoint_id=checkpoint.id, meanings=meanings)


def fluids_at(checklist: Checklist, checkpoint: Checkpoint) -> tuple[str, ...]:
    """Return the ids of the fluids that can leak at a checkpoint."""
    if checkpoint.fluids:
        return checkpoint.fluids
    return tuple(fluid.id for fluid in checklist.fluids)


def next_question(
    checklist: Checklist, checkpoint: Checkpoint, parts: Parts
) -> Question | None:
    """Return the next question of a checkpoint, or None when nothing is missing."""
    first = first_question(checkpoint)
    if first.name not in parts:
        return first
    opened = parts[first.name]
    wanted: list[tuple[QuestionName, tuple[str, ...] | None]] = []
    if opened == "defect":
        wanted = [(QuestionName.FAULT, None), (QuestionName.SEVERITY, None)]
    elif opened == "leak":
        fluids = fluids_at(checklist, checkpoint)
        if len(fluids) > 1:
            wanted.append((QuestionName.FLUID, fluids))
        wanted.append((QuestionName.LEAK_CLASS, None))
    elif opened == "could_not_check":
        wanted = [(QuestionName.REASON, None)]
    for name, meanings in wanted:
        if name not in parts:
            return Question(name=name, checkpoint_id=checkpoint.id, meanings=meanings)
    return None


def to_answer(checklist: Checklist, checkpoint: Checkpoint, parts: Parts) -> Answer:
    """Turn complete parts into an answer.

    Raises:
        ValueError: a part is missing or does not fit the checkpoint.
    """
    missing = next_question(checklist, checkpoint, parts)
    if missing is not None:
        raise ValueError(f"{checkpoint.id}: the {missing.name} is still missing")
    first = first_question(checkpoint)
    opened = parts[first.name]
    if first.name is QuestionName.NUMBER and opened not in _NO_NUMBERS:
        return ReadingTaken(value=_decimal(opened))
    if opened not in (first.meanings or _YES_OR_NO):
        raise ValueError(f"{checkpoint.id} does not take the answer {opened!r}")
    match opened:
        case "defect":
            return Defect(
                fault=Fault(parts[QuestionName.FAULT]),
                severity=Severity(parts[QuestionName.SEVERITY]),
            )
        case "leak":
            return Leak(
                fluid=_fluid(checklist, checkpoint, parts),
                leak_class=LeakClass(parts[QuestionName.LEAK_CLASS]),
            )
        case "could_not_check":
            return CouldNotCheck(reason=Reason(parts[QuestionName.REASON]))
    return _SIMPLE.get(opened) or LevelSeen(level=Level(opened))


def _fluid(checklist: Checklist, checkpoint: Checkpoint, parts: Parts) -> str:
    """The fluid that was named, or the only one that there is."""
    fluids = fluids_at(checklist, checkpoint)
    fluid = parts.get(QuestionName.FLUID, next(iter(fluids), ""))
    if fluid not in fluids:
        raise ValueError(f"{checkpoint.id} does not hold the fluid {fluid!r}")
    return fluid


def _decimal(text: str) -> Decimal:
    try:
        value = Decimal(text)
    except InvalidOperation as error:
        raise ValueError(f"{text!r} is not a number") from error
    if not value.is_finite():
        raise ValueError(f"{text!r} is not a number")
    return value


def to_parts(checkpoint: Checkpoint, answer: Answer) -> dict[QuestionName, str]:
    """Return the parts that add up to `answer`: the inverse of `to_answer`."""
    first = first_question(checkpoint).name
    match answer:
        case Defect():
            return {
                first: "defect",
                QuestionName.FAULT: answer.fault.value,
                QuestionName.SEVERITY: answer.severity.value,
            }
        case Leak():
            return {
                first: "leak",
                QuestionName.FLUID: answer.fluid,
                QuestionName.LEAK_CLASS: answer.leak_class.value,
            }
        case CouldNotCheck():
            return {first: "could_not_check", QuestionName.REASON: answer.reason.value}
        case LevelSeen():
            return {first: answer.level.value}
        case ReadingTaken():
            return {first: str(answer.value)}
        case Good():
            return {first: "good"}
        case NotFitted():
            return {first: "not_fitted"}
        case Yes():
            return {first: "yes"}
        case _:  # no
            return {first: "no"}


def problem_with(
    checklist: Checklist, checkpoint: Checkpoint, answer: Answer
) -> str | None:
    """Say why an answer does not fit a checkpoint, or return None when it fits."""
    kind = checkpoint.kind
    if isinstance(answer, Yes | No) != (kind is CheckpointKind.START):
        return _wrong_kind(checkpoint, answer)
    if isinstance(answer, LevelSeen) and kind is not CheckpointKind.LEVEL:
        return _wrong_kind(checkpoint, answer)
    if isinstance(answer, ReadingTaken) and kind is not CheckpointKind.READING:
        return _wrong_kind(checkpoint, answer)
    if isinstance(answer, Good | Defect) and kind not in (
        CheckpointKind.CONDITION,
        CheckpointKind.FUNCTION,
    ):
        return _wrong_kind(checkpoint, answer)
    if isinstance(answer, Leak):
        if kind is CheckpointKind.READING:
            return _wrong_kind(checkpoint, answer)
        allowed = fluids_at(checklist, checkpoint)
        if answer.fluid not in allowed:
            return f"{checkpoint.id}: fluid must be one of {', '.join(allowed)}"
    if isinstance(answer, NotFitted) and not checkpoint.may_be_absent:
        return f"{checkpoint.id} must be fitted; say what is wrong with it"
    if isinstance(answer, ReadingTaken):
        return _reading_problem(checkpoint, answer)
    return None


def _wrong_kind(checkpoint: Checkpoint, answer: Answer) -> str:
    name = type(answer).__name__
    return f"{checkpoint.id} is a {checkpoint.kind} point and does not take {name}"


def _reading_problem(checkpoint: Checkpoint, answer: ReadingTaken) -> str | None:
    spec = checkpoint.reading
    if spec is None:
        return f"{checkpoint.id} has no unit and no range: it takes no reading"
    if not spec.is_plausible(answer.value):
        return (
            f"{checkpoint.id}: {answer.value} {spec.unit} is not between "
            f"{spec.plausible_min} and {spec.plausible_max} {spec.unit}"
        )
    if not spec.shows(answer.value):
        return (
            f"{checkpoint.id}: {answer.value} has too many digits after the point, "
            f"more digits than the {spec.decimals} that are read there"
        )
    return None
