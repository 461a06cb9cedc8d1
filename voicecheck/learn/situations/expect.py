"""What the round expects to be called of an answer."""

from __future__ import annotations

from collections.abc import Mapping

from voicecheck.learn.events import CallParts, Opened
from voicecheck.round.answers import (
    Answer,
    Defect,
    Leak,
    LevelSeen,
    ReadingTaken,
)
from voicecheck.round.checklist import Checklist, Checkpoint, Outcome
from voicecheck.round.decision import Decision, answer_name, decide, finding_kind


def decision_of(checklist: Checklist, answers: Mapping[str, Answer]) -> Decision:
    """Return the decision of a walk on which everything else is good."""
    return decide(checklist, answers, finished=True)


def expected_call(
    checkpoint: Checkpoint, answer: Answer, decision: Decision
) -> CallParts:
    """Return the call: how it begins, what belongs to it, may it work."""
    return CallParts(
        opened=_opened(checkpoint, answer),
        severity=answer.severity if isinstance(answer, Defect) else None,
        leak_class=answer.leak_class if isinstance(answer, Leak) else None,
        may_work=decision.outcome is not Outcome.OUT_OF_SERVICE,
    )


def _opened(checkpoint: Checkpoint, answer: Answer) -> Opened:
    if isinstance(answer, LevelSeen):
        return Opened(answer.level.value)
    if isinstance(answer, ReadingTaken):
        well = finding_kind(checkpoint, answer) is None
        return Opened.IN_LIMITS if well else Opened.OUTSIDE
    return Opened(answer_name(answer))
