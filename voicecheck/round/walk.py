"""The whole round as a state machine.

A `Walk` is the fold of its events: `apply` is the only way to change it, and
an event that does not fit raises `WalkError` and changes nothing. What has to
happen next is read from `task`. Voice, keyboard and browser all drive this.
"""

from __future__ import annotations

from collections.abc import Iterable

from voicecheck.errors import WalkError
from voicecheck.round import events as ev
from voicecheck.round.answers import Answer, No, Reason
from voicecheck.round.checklist import Checklist, Checkpoint, CheckpointKind, Place
from voicecheck.round.decision import Decision, Finding, decide, findings
from voicecheck.round.phases import FINAL, Phase, PhaseMachine
from voicecheck.round.probing import problem_with
from voicecheck.round.tasks import AskCheckpoint, Climb, Over, SumUp, Task

__all__ = [
    "FINAL",
    "AskCheckpoint",
    "Climb",
    "Over",
    "Phase",
    "SumUp",
    "Task",
    "Walk",
]


class Walk:
    """One walk on one unit.

    Raises:
        WalkError: from `apply`, when an event does not fit.
    """

    def __init__(self, checklist: Checklist) -> None:
        self.checklist = checklist
        self.started: ev.WalkStarted | None = None
        self.answers: dict[str, Answer] = {}
        """Confirmed answers by checkpoint, in the order they were given."""
        self.skipped: dict[str, Reason] = {}
        """Points that were left for later, answered by now or not: each can be
        skipped once."""
        self._newest_skips: list[str] = []
        """Points skipped after the newest answer, in order."""
        self.place = Place.GROUND
        self.paused = False
        self.stop_reason = ""
        self.declared: bool | None = None
        self.notes: list[ev.NoteKept] = []
        self._points = checklist.checkpoints
        self._by_id = {point.id: point for point in self._points}
        self._zones = {zone.id: zone for zone in checklist.zones}
        self._machine = PhaseMachine()

    @classmethod
    def replay(cls, checklist: Checklist, past: Iterable[ev.WalkEvent]) -> Walk:
        """Return the walk that these events make."""
        walk = cls(checklist)
        for event in past:
            walk.apply(event)
        return walk

    @property
    def phase(self) -> Phase:
        """The state of the machine."""
        return self._machine.phase

    @property
    def over(self) -> bool:
        """Tell whether the walk has ended, signed or not."""
        return self.phase in FINAL

    @property
    def task(self) -> Task:
        """What has to happen next."""
        if self.over:
            return Over()
        target = self._target()
        if target is None:
            return SumUp()
        zone = self._zones[target.zone_id]
        if zone.place is not self.place:
            return Climb(zone=zone, origin=self.place)
        return AskCheckpoint(checkpoint=target, returning=target.id in self.skipped)

    @property
    def last_answered(self) -> str | None:
        """Id of the answer that "go back" takes away, or None."""
        return next(reversed(self.answers), None)

    @property
    def last_skipped(self) -> str | None:
        """Id of the skip that "go back" takes away before any answer, or None."""
        return self._newest_skips[-1] if self._newest_skips else None

    @property
    def remaining(self) -> int:
        """How many points have no answer yet, skipped ones included."""
        return len(self._points) - len(self.answers)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings so far, in walking order."""
        return findings(self.checklist, self.answers)

    @property
    def decision(self) -> Decision:
        """The decision as it stands; not released before it is signed."""
        return decide(self.checklist, self.answers, finished=self.phase is Phase.SIGNED)

    @property
    def proposed_decision(self) -> Decision:
        """The decision that would stand if the operator signed now."""
        return decide(self.checklist, self.answers, finished=self.remaining == 0)

    def check(self, event: ev.WalkEvent) -> None:
        """Raise `WalkError` when the event does not fit; change nothing."""
        if isinstance(event, ev.WalkStarted):
            self._check_start(event)
            return
        if self.started is None:
            raise WalkError("the walk has not begun: start it first")
        if self.over:
            raise WalkError("this walk has ended; start a new one")
        if self.paused and not isinstance(
            event, ev.WalkResumed | ev.WalkStopped | ev.NoteKept
        ):
            raise WalkError("the walk is paused: carry on first")
        self._check_details(event)

    def apply(self, event: ev.WalkEvent) -> None:
        """Take in one event that has happened.

        Raises:
            WalkError: the event does not fit; nothing is changed.
        """
        self.check(event)
        match event:
            case ev.WalkStarted():
                self.started = event
            case ev.AnswerConfirmed():
                self.answers[event.checkpoint_id] = event.answer
                self._newest_skips.clear()
            case ev.AnswerWithdrawn():
                del self.answers[event.checkpoint_id]
            case ev.CheckpointSkipped():
                self.skipped[event.checkpoint_id] = event.reason
                self._newest_skips.append(event.checkpoint_id)
            case ev.SkipWithdrawn():
                del self.skipped[event.checkpoint_id]
                self._newest_skips.pop()
            case ev.ClimbDone():
                self.place = self._zones[event.zone_id].place
            case ev.NoteKept():
                self.notes.append(event)
            case ev.WalkPaused():
                self.paused = True
            case ev.WalkResumed():
                self.paused = False
            case ev.Declared():
                self.declared = event.accepted
            case _:  # stopped
                self.stop_reason = event.reason
        self._move(event)

    def _move(self, event: ev.WalkEvent) -> None:
        """Fire the one trigger that follows from the event."""
        if isinstance(event, ev.NoteKept | ev.WalkPaused | ev.WalkResumed):
            return
        self._machine.fire(self._trigger(event))

    def _trigger(self, event: ev.WalkEvent) -> str:
        if isinstance(event, ev.WalkStopped):
            return "stop"
        if isinstance(event, ev.Declared):
            return "sign" if event.accepted else "decline"
        if isinstance(event, ev.AnswerConfirmed) and isinstance(event.answer, No):
            point = self._by_id[event.checkpoint_id]
            self.stop_reason = point.stop_text or point.prompt
            return "stop"
        match self.task:
            case AskCheckpoint():
                return "ask"
            case Climb():
                return "climb"
            case _:
                return "sum_up"

    def _target(self) -> Checkpoint | None:
        """The first point without an answer; skipped ones come last."""
        open_points = [p for p in self._points if p.id not in self.answers]
        fresh = [p for p in open_points if p.id not in self.skipped]
        return next(iter(fresh or open_points), None)

    def _check_start(self, event: ev.WalkStarted) -> None:
        if self.started is not None:
            raise WalkError("this walk has begun already")
        if event.checklist_sha256 != self.checklist.sha256:
            raise WalkError(
                f"this walk was begun with another checklist, {event.checklist} "
                f"{event.checklist_version}; take that one"
            )

    def _check_details(self, event: ev.WalkEvent) -> None:
        match event:
            case ev.AnswerConfirmed():
                self._check_answer(event)
            case ev.AnswerWithdrawn() if event.checkpoint_id not in self.answers:
                raise WalkError(f"{event.checkpoint_id} has no answer to take back")
            case ev.CheckpointSkipped():
                self._check_skip(event)
            case ev.SkipWithdrawn() if event.checkpoint_id != self.last_skipped:
                raise WalkError(f"{event.checkpoint_id} was not skipped last")
            case ev.ClimbDone():
                task = self.task
                if not isinstance(task, Climb) or task.zone.id != event.zone_id:
                    raise WalkError(f"no climb to {event.zone_id} is due now")
            case ev.NoteKept() if event.checkpoint_id not in (None, *self._by_id):
                raise WalkError(f"there is no checkpoint {event.checkpoint_id}")
            case ev.WalkResumed() if not self.paused:
                raise WalkError("the walk is not paused")
            case ev.Declared() if not isinstance(self.task, SumUp):
                raise WalkError(f"{self.remaining} points are still open")

    def _check_answer(self, event: ev.AnswerConfirmed) -> None:
        point = self._asked(event.checkpoint_id)
        problem = problem_with(self.checklist, point, event.answer)
        if problem is not None:
            raise WalkError(problem)

    def _check_skip(self, event: ev.CheckpointSkipped) -> None:
        point = self._asked(event.checkpoint_id)
        if point.kind is CheckpointKind.START:
            raise WalkError("a start check cannot be skipped: answer yes or no")
        if point.id in self.skipped:
            raise WalkError(
                f"{point.id} was skipped before: answer it, or say "
                "that it could not be checked"
            )

    def _asked(self, checkpoint_id: str) -> Checkpoint:
        task = self.task
        if isinstance(task, AskCheckpoint) and task.checkpoint.id == checkpoint_id:
            return task.checkpoint
        raise WalkError(f"{checkpoint_id} is not the point that is asked now")
