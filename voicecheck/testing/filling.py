"""Walk a whole walk from answers that are known beforehand."""

from __future__ import annotations

from collections.abc import Mapping

from voicecheck.round import events as ev
from voicecheck.round.answers import Answer
from voicecheck.round.walk import AskCheckpoint, Climb, Over, SumUp
from voicecheck.store.session import WalkSession


def fill(
    session: WalkSession,
    answers: Mapping[str, Answer],
    *,
    how: ev.How | None = None,
    accepted: bool = True,
) -> None:
    """Answer every point of a walk and the declaration.

    Args:
        session: the walk, wherever it stands.
        answers: by checkpoint; a KeyError tells of one that is missing.
        how: how the answers are said to have come in.
        accepted: the answer to the declaration.
    """
    while not isinstance(task := session.walk.task, Over):
        match task:
            case AskCheckpoint(checkpoint=point):
                session.commit(
                    ev.AnswerConfirmed(
                        checkpoint_id=point.id, answer=answers[point.id]
                    ),
                    how,
                )
            case Climb(zone=zone):
                session.commit(ev.ClimbDone(zone_id=zone.id))
            case SumUp():
                session.commit(ev.Declared(accepted=accepted))
