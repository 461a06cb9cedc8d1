"""A program that walks for ever and says what is kept: to be killed by tests.

    python walking_child.py FOLDER loop     answer, take back, answer again …
    python walking_child.py FOLDER finish   answer everything, then the record

Prints what was answered before, then one line for each event after its commit
has returned.
"""

from __future__ import annotations

import sys
from decimal import Decimal
from pathlib import Path

from voicecheck.clock import SystemClock
from voicecheck.errors import RecordNotFound
from voicecheck.round import events as ev
from voicecheck.round.answers import Answer, Good, Level, LevelSeen, ReadingTaken, Yes
from voicecheck.round.checklist import CheckpointKind
from voicecheck.round.walk import AskCheckpoint, Climb, Over
from voicecheck.store.journal import open_journal
from voicecheck.store.session import WalkSession
from voicecheck.testing.small_checklist import small_checklist

ANSWERS: dict[CheckpointKind, Answer] = {
    CheckpointKind.START: Yes(),
    CheckpointKind.CONDITION: Good(),
    CheckpointKind.FUNCTION: Good(),
    CheckpointKind.LEVEL: LevelSeen(level=Level.FULL),
    CheckpointKind.READING: ReadingTaken(value=Decimal(450)),
}


def opened(folder: Path) -> WalkSession:
    """Resume the walk of L-12, or begin it."""
    journal, clock = open_journal(folder / "journal.sqlite3"), SystemClock()
    checklist = small_checklist()
    try:
        return WalkSession.resume(journal, clock, checklist, unit="L-12", folder=folder)
    except RecordNotFound:
        return WalkSession.start(journal, clock, checklist, unit="L-12", folder=folder)


def next_event(session: WalkSession, *, forever: bool) -> ev.WalkEvent:
    """Return what comes next; for ever: never come to the end."""
    task = session.walk.task
    last = session.walk.last_answered
    if isinstance(task, AskCheckpoint):
        point = task.checkpoint
        return ev.AnswerConfirmed(checkpoint_id=point.id, answer=ANSWERS[point.kind])
    if isinstance(task, Climb):
        return ev.ClimbDone(zone_id=task.zone.id)
    if forever and last is not None:
        return ev.AnswerWithdrawn(checkpoint_id=last)
    return ev.Declared(accepted=True)


def main() -> None:
    """Walk until killed, or to the end."""
    session = opened(Path(sys.argv[1]))
    print("ready", *session.walk.answers, flush=True)
    forever = sys.argv[2] == "loop"
    while not isinstance(session.walk.task, Over):
        entry = session.commit(next_event(session, forever=forever))
        print(entry.seq, entry.sha256, flush=True)
    print("over", flush=True)
    print(session.finish().path, flush=True)


if __name__ == "__main__":
    main()
