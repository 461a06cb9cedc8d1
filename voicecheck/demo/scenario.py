"""What the simulated operator sees: mostly good, with several findings.

Invented data, for the demo only.
"""

from __future__ import annotations

import random
from decimal import Decimal

from voicecheck.demo.faults import FAULTS, UNSEEN
from voicecheck.round.answers import (
    Answer,
    Good,
    Level,
    LevelSeen,
    NotFitted,
    ReadingTaken,
    Yes,
)
from voicecheck.round.checklist import Checklist, Checkpoint, CheckpointKind

_FAULTS = 7
_UNSEEN = 1


def seeded_answers(checklist: Checklist, seed: int) -> dict[str, Answer]:
    """Return what there is to see at every checkpoint; the same for one seed."""
    rng = random.Random(seed)
    answers = {point.id: _usual(point, rng) for point in checklist.checkpoints}
    ids = [point.id for point in checklist.checkpoints]
    for faults, count in ((FAULTS, _FAULTS), (UNSEEN, _UNSEEN)):
        known = [checkpoint for checkpoint in ids if checkpoint in faults]
        for checkpoint in rng.sample(known, min(count, len(known))):
            answers[checkpoint] = rng.choice(faults[checkpoint])
    levels = [p for p in checklist.checkpoints if p.kind is CheckpointKind.LEVEL]
    if levels:
        answers[rng.choice(levels).id] = LevelSeen(level=Level.LOW)
    return answers


def _usual(point: Checkpoint, rng: random.Random) -> Answer:
    match point.kind:
        case CheckpointKind.START:
            return Yes()
        case CheckpointKind.LEVEL:
            return LevelSeen(level=rng.choice((Level.FULL, Level.BETWEEN)))
        case CheckpointKind.READING:
            return ReadingTaken(value=_usual_value(point, rng))
    if point.may_be_absent and rng.random() < 0.1:
        return NotFitted()
    return Good()


def _usual_value(point: Checkpoint, rng: random.Random) -> Decimal:
    """A value within the limits, with the digits that the gauge shows."""
    spec = point.reading
    if spec is None:
        raise ValueError(f"{point.id} is no reading")
    low = float(spec.low if spec.low is not None else spec.plausible_min)
    high = float(spec.high if spec.high is not None else spec.plausible_max)
    if spec.quantity == "duration":
        low, high = 4000.0, 9000.0
    step = Decimal(1).scaleb(-spec.decimals)
    return Decimal(str(rng.uniform(low, high))).quantize(step)
