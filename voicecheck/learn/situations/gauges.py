"""Levels and readings: what a stick, a glass or a gauge shows."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fnmatch import fnmatchcase

from voicecheck.learn.situations.files import Facts
from voicecheck.learn.situations.schema import ReadingEntry
from voicecheck.learn.situations.sight import Sight
from voicecheck.learn.situations.slots import filled
from voicecheck.round.answers import LevelSeen, ReadingTaken
from voicecheck.round.checklist import (
    Checklist,
    Checkpoint,
    CheckpointKind,
    ReadingSpec,
    ReadingState,
)


def gauge_sights(
    known: Facts, checklist: Checklist, checkpoint: Checkpoint
) -> Iterator[Sight]:
    """Yield what can be read at a checkpoint, if anything can."""
    if checkpoint.kind is CheckpointKind.LEVEL and checkpoint.level_of is not None:
        yield from _levels(known, checklist, checkpoint, checkpoint.level_of)
    elif checkpoint.kind is CheckpointKind.READING and checkpoint.reading is not None:
        for name, entry in known.readings.items():
            if _is_for(entry, checkpoint):
                yield from _readings(known, name, entry, checkpoint.reading)


def _levels(
    known: Facts, checklist: Checklist, checkpoint: Checkpoint, fluid: str
) -> Iterator[Sight]:
    words = {"fluid": checklist.fluid(fluid).name}
    for level, texts in known.levels.texts.items():
        for number, text in enumerate(texts):
            yield Sight(
                kind=f"level/{checkpoint.id}/{level}",
                number=number,
                text=filled(text, known.amounts, words)[0],
                answer=LevelSeen(level=level),
                caution=known.levels.cautions.get(fluid, ""),
            )


def _is_for(entry: ReadingEntry, checkpoint: Checkpoint) -> bool:
    if entry.tag and entry.tag in checkpoint.tags:
        return True
    return any(fnmatchcase(checkpoint.id, pattern) for pattern in entry.points)


def _readings(
    known: Facts, name: str, entry: ReadingEntry, spec: ReadingSpec
) -> Iterator[Sight]:
    numbers: dict[ReadingState, int] = {}
    for value in readings_of(spec):
        state = spec.state(value)
        numbers[state] = number = numbers.get(state, -1) + 1
        words = {
            "value": str(value),
            "unit": spec.unit,
            "low": str(spec.low),
            "high": str(spec.high),
        }
        yield Sight(
            kind=f"reading/{name}/{state}",
            number=number,
            text=filled(f"{entry.text} {entry.limits}", known.amounts, words)[0],
            answer=ReadingTaken(value=value),
            caution=entry.caution,
        )


def readings_of(spec: ReadingSpec) -> tuple[Decimal, ...]:
    """Return values that lie clearly in, below and above the limits.

    Between two limits a third and two thirds of the way, so that nobody has to
    guess on which side of a limit a value lies; far outside by a fifth.
    """
    if spec.high is None:
        return ()
    low = spec.low if spec.low is not None else spec.plausible_min
    values = list(_between(low, spec.high))
    if spec.low is not None and spec.far_low is not None:
        values += [*_between(spec.far_low, spec.low), spec.far_low * Decimal("0.8")]
    if spec.far_high is not None:
        values += [*_between(spec.high, spec.far_high), spec.far_high * Decimal("1.2")]
    rounded = (round(value, spec.decimals) for value in values)
    return tuple(v for v in dict.fromkeys(rounded) if spec.is_plausible(v))


def _between(low: Decimal, high: Decimal) -> tuple[Decimal, Decimal]:
    third = (high - low) / 3
    return low + third, low + 2 * third
