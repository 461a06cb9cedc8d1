"""The typed walk answered from an answers file, with nobody at the keyboard.

Whoever gives a complete file declares by it what the declaration says; so the
walk is signed at its end.
"""

from __future__ import annotations

from collections.abc import Mapping

from voicecheck.dialogue.ports import Keeper
from voicecheck.errors import AnswersFileError
from voicecheck.record.answers_file import missing
from voicecheck.round import events as ev
from voicecheck.round.answers import Answer
from voicecheck.round.checklist import Checklist
from voicecheck.round.walk import AskCheckpoint, Climb, Over, SumUp, Walk

HOW = ev.How(mode="typed", confirmed_by="typed")
"""How every answer of a file came in; nobody knows when it was looked at."""


def check_complete(checklist: Checklist, answers: Mapping[str, Answer]) -> None:
    """Refuse answers that leave a question open.

    Raises:
        AnswersFileError: the text names every point without an answer.
    """
    without = missing(checklist, answers)
    if without:
        raise AnswersFileError(
            f"{len(without)} of {len(checklist.checkpoints)} points have no answer: "
            f"{', '.join(without)}; add them to the answers file, or leave out "
            "--answers and answer at the keyboard"
        )


def check_same(walk: Walk, answers: Mapping[str, Answer]) -> None:
    """Refuse answers that contradict what the walk already holds.

    Raises:
        AnswersFileError: the text names the points.
    """
    other = [
        checkpoint_id
        for checkpoint_id, answer in walk.answers.items()
        if answers.get(checkpoint_id) != answer
    ]
    if other:
        raise AnswersFileError(
            f"this walk already holds other answers at {', '.join(other)}; nothing "
            "confirmed is overwritten: resume it without --answers and take them "
            "back there, or start a new walk without --resume"
        )


def fill(keeper: Keeper, answers: Mapping[str, Answer]) -> None:
    """Answer every point that is still open, and sign.

    A start check answered with no ends the walk.

    Args:
        keeper: keeps the walk, wherever it stands.
        answers: complete for its checklist.

    Raises:
        AnswersFileError: the answers are incomplete, or contradict the walk;
            nothing was changed.
        JournalError: an answer could not be kept; the walk can be resumed.
    """
    walk = keeper.walk
    check_complete(walk.checklist, answers)
    check_same(walk, answers)
    if walk.paused:
        keeper.commit(ev.WalkResumed())
    while not isinstance(task := walk.task, Over):
        match task:
            case AskCheckpoint(checkpoint=point):
                event = ev.AnswerConfirmed(
                    checkpoint_id=point.id, answer=answers[point.id]
                )
                keeper.commit(event, HOW)
            case Climb(zone=zone):
                keeper.commit(ev.ClimbDone(zone_id=zone.id))
            case SumUp():
                keeper.commit(ev.Declared(accepted=True))
