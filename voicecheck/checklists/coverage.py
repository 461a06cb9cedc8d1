"""Which answers at a checkpoint make the machine unfit, and by which rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from voicecheck.round.answers import (
    Answer,
    CouldNotCheck,
    Defect,
    Fault,
    Leak,
    LeakClass,
    Level,
    LevelSeen,
    No,
    ReadingTaken,
    Reason,
    Severity,
)
from voicecheck.round.checklist import (
    Checklist,
    Checkpoint,
    CheckpointKind,
    Outcome,
    ReadingSpec,
    ReadingState,
)
from voicecheck.round.decision import applies
from voicecheck.round.probing import fluids_at


@dataclass(frozen=True, slots=True, kw_only=True)
class UnfitAnswer:
    """An answer, and the worst rules that apply to it when all else is good."""

    answer: Answer
    outcome: Outcome
    rule_ids: tuple[str, ...]
    """Of the rules with that outcome; empty when no rule applies."""


def bad_answers(checklist: Checklist, checkpoint: Checkpoint) -> Iterator[Answer]:
    """Yield one answer of each kind and grade that says that something is wrong."""
    if checkpoint.kind is CheckpointKind.START:
        yield No()
        return
    if checkpoint.kind in (CheckpointKind.CONDITION, CheckpointKind.FUNCTION):
        for severity in Severity:
            yield Defect(fault=Fault.DAMAGED, severity=severity)
    if checkpoint.kind is not CheckpointKind.READING:
        for fluid in fluids_at(checklist, checkpoint):
            for leak_class in LeakClass:
                yield Leak(fluid=fluid, leak_class=leak_class)
    if checkpoint.kind is CheckpointKind.LEVEL:
        yield LevelSeen(level=Level.LOW)
        yield LevelSeen(level=Level.EMPTY)
    if checkpoint.reading is not None:
        yield from _bad_readings(checkpoint.reading)
    yield CouldNotCheck(reason=Reason.NO_ACCESS)


def unfit_answers(
    checklist: Checklist, checkpoint: Checkpoint
) -> tuple[UnfitAnswer, ...]:
    """Return each bad answer with its outcome and the rules that say so.

    Fluid levels count as unknown, which is the worse side.
    """
    found: list[UnfitAnswer] = []
    for answer in bad_answers(checklist, checkpoint):
        hits = [r for r in checklist.rules if applies(r, checkpoint, answer, {})]
        worst = max(
            (rule.outcome for rule in hits),
            key=lambda outcome: outcome.rank,
            default=Outcome.MAY_WORK,
        )
        ids = tuple(rule.id for rule in hits if rule.outcome is worst)
        found.append(UnfitAnswer(answer=answer, outcome=worst, rule_ids=ids))
    return tuple(found)


def _bad_readings(spec: ReadingSpec) -> Iterator[ReadingTaken]:
    for value in (spec.plausible_min, spec.far_low, spec.high, spec.plausible_max):
        if value is not None and spec.state(value) is not ReadingState.IN_LIMITS:
            yield ReadingTaken(value=value)
