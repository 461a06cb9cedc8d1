"""The spoken walk, turn by turn.

A `Conversation` is told what was heard and answers with the next `Turn`. It
knows no sound and no clock; the runner plays its turns. Whatever is not
confirmed is not recorded: three failures in a row on one question lead to a
pause, never to an answer.
"""

from __future__ import annotations

from dataclasses import replace

from voicecheck.audio.noise_watch.loudness import Change
from voicecheck.audio.tones import Tone
from voicecheck.dialogue import (
    answering,
    asking,
    controls,
    failures,
    loudness,
    prompts,
    weighing,
)
from voicecheck.dialogue.confirmation import Outcome
from voicecheck.dialogue.heard_notice import heard_notice
from voicecheck.dialogue.machine import State
from voicecheck.dialogue.ports import Keeper
from voicecheck.dialogue.settings import DialogueSettings
from voicecheck.dialogue.talk import Talk
from voicecheck.dialogue.turns import (
    Listen,
    Notice,
    RecordNote,
    Say,
    Signal,
    Step,
    Turn,
)
from voicecheck.dialogue.wording import Wording
from voicecheck.errors import WalkError
from voicecheck.round import events as ev
from voicecheck.round.answers import Reason
from voicecheck.round.walk import Climb
from voicecheck.speech.ports import Heard, Hypothesis, Listened, NoInput

__all__ = ["Conversation", "DialogueSettings"]


class Conversation:
    """Talk one operator round one machine."""

    def __init__(
        self,
        keeper: Keeper,
        wording: Wording,
        settings: DialogueSettings | None = None,
    ) -> None:
        self._talk = Talk(keeper, wording, settings or DialogueSettings())
        self._turn = Turn(steps=(), then=None)
        """The turn that is being played."""
        self._played = 0
        """How many of its steps were played when the device was lost."""
        self._first: tuple[Step, ...] = ()
        """What the next turn begins with."""

    @property
    def state(self) -> State:
        """What is being waited for."""
        return self._talk.state

    @property
    def language(self) -> str:
        """Language of prompts and answers."""
        return self._talk.wording.language

    @property
    def zone_id(self) -> str | None:
        """Where the operator is; None before the first zone."""
        return self._talk.zone_id

    @property
    def checkpoint_id(self) -> str | None:
        """The checkpoint at hand, if there is one."""
        return self._talk.draft.checkpoint_id

    def begin(self) -> Turn:
        """Open the walk, or take it up where it was left."""
        walk = self._talk.walk
        if walk.paused and not walk.over:
            self._talk.keeper.commit(ev.WalkResumed())
        return self._now(
            asking.go_on(self._talk, prompts.opening(self._talk.wording, walk))
        )

    def heard(self, listened: Listened, prompt_began_s: float) -> Turn:
        """Take in what was heard and return the next turn.

        Args:
            listened: what the listener gave.
            prompt_began_s: when the question began to be said, by the clock
                of the sound link.

        Raises:
            WalkError: the last turn does not listen.
            JournalError: an answer could not be kept.
        """
        talk, listen = self._talk, self._turn.then
        if not isinstance(listen, Listen):
            raise WalkError("the last turn does not listen: play what it asks for")
        if talk.doubt is None and talk.state in (State.ASKING, State.CONFIRMING):
            talk.draft.listened(prompt_began_s)
        if isinstance(listened, NoInput):
            return self._now(failures.failed(talk, "noinput"))
        weighed = weighing.weigh(talk, listen, listened)
        hypotheses, outcome = weighed.hypotheses, weighed.outcome
        turn = self._after(hypotheses, outcome, listened)
        notice = heard_notice(hypotheses, outcome, listened)
        return self._now(replace(turn, steps=(notice, *turn.steps)))

    def loudness_changed(self, change: Change) -> None:
        """Become careful when it is too loud, and as usual when it is not.

        What is to be said about it comes first in the next turn.

        Raises:
            JournalError: it could not be kept.
        """
        self._first = loudness.changed(self._talk, change)

    def note_recorded(self, clip_sha256: str, seconds: float) -> Turn:
        """Keep a note that was recorded; an empty hash means nothing was said.

        Raises:
            WalkError: no note was asked for.
            JournalError: the note could not be kept.
        """
        talk = self._talk
        if not isinstance(self._turn.then, RecordNote):
            raise WalkError("no note was asked for: play what the last turn asks for")
        if not clip_sha256:
            return self._now(talk.put_again([talk.say("note_empty")]))
        talk.keeper.commit(
            ev.NoteKept(
                checkpoint_id=talk.draft.checkpoint_id,
                clip_sha256=clip_sha256,
                seconds=round(seconds, 2),
            )
        )
        return self._now(talk.put_again([talk.say("note_kept")]))

    def device_lost(self, reason: str, played: int = 0) -> tuple[Step, ...]:
        """Put the walk aside because sound is gone.

        Args:
            reason: what the device said.
            played: steps of the last turn that were played to their end.
        """
        talk = self._talk
        self._played = played
        talk.keeper.observe("device_lost", talk.draft.checkpoint_id, reason)
        if not talk.walk.over and not talk.walk.paused:
            talk.keeper.commit(ev.WalkPaused(cause="device"))
        return (Notice(kind="device_lost", data={"reason": reason}),)

    def device_back(self) -> Turn:
        """Carry on after sound has come back: say what was not said, ask again."""
        talk = self._talk
        talk.keeper.observe("device_back", talk.draft.checkpoint_id)
        waits = talk.state is State.PAUSED or talk.walk.over
        if talk.walk.paused and not waits:
            talk.keeper.commit(ev.WalkResumed())
        left = self._turn.steps[self._played :]
        question = self._question()
        again = () if question is None or question in left else (question,)
        steps = (
            Notice(kind="device_back"),
            Say(text=talk.wording.say("device_back")),
            *left,
            *again,
        )
        return self._now(Turn(steps=steps, then=self._turn.then))

    # ---- what becomes of something heard ------------------------------

    def _after(
        self, hypotheses: tuple[Hypothesis, ...], outcome: Outcome, heard: Heard
    ) -> Turn:
        talk = self._talk
        if outcome is Outcome.REJECT:
            return failures.failed(talk, "nomatch", heard)
        best = hypotheses[0]
        if best.control:
            return controls.obey(talk, best, outcome, heard)
        if talk.state is State.ASKING:
            return answering.take_part(talk, best, outcome, heard)
        if outcome is not Outcome.ACCEPT and not weighing.counts_in_doubt(
            talk, hypotheses
        ):
            return failures.failed(talk, "nomatch", heard)
        if talk.doubt is not None:
            return controls.answer_doubt(talk, best)
        return self._answered(best)

    def _answered(self, best: Hypothesis) -> Turn:
        match self._talk.state:
            case State.CONFIRMING:
                return answering.answer_read_back(self._talk, best)
            case State.DECLARING:
                return self._declared(best.meaning == "yes")
            case State.CLIMBING:
                return self._climbed()
            case State.SKIPPING:
                return self._skipped(Reason(best.meaning))
            case _:  # paused
                return self._carried_on()

    def _declared(self, accepted: bool) -> Turn:
        talk = self._talk
        if not accepted and not talk.present.last_chance:
            return asking.declare_again(talk)
        talk.keeper.commit(ev.Declared(accepted=accepted))
        return asking.go_on(talk, [talk.say("signed" if accepted else "unsigned")])

    def _climbed(self) -> Turn:
        talk = self._talk
        task = talk.walk.task
        assert isinstance(task, Climb), "only a climb is waited for like this"
        talk.keeper.commit(ev.ClimbDone(zone_id=task.zone.id))
        return asking.go_on(talk, [Signal(tone=Tone.TAKEN)])

    def _skipped(self, reason: Reason) -> Turn:
        talk = self._talk
        point_id = talk.point.id
        talk.keeper.commit(ev.CheckpointSkipped(checkpoint_id=point_id, reason=reason))
        talk.leave_point()
        data = {"checkpoint": point_id, "reason": reason.value}
        steps = (Notice(kind="skipped", data=data), talk.say("skipped"))
        return asking.go_on(talk, steps)

    def _carried_on(self) -> Turn:
        talk = self._talk
        talk.keeper.commit(ev.WalkResumed())
        return talk.put_again([Notice(kind="resumed"), talk.say("carrying_on")])

    # ---- small things -------------------------------------------------

    def _question(self) -> Say | None:
        """What the operator has to hear to know what is waited for."""
        talk = self._talk
        match talk.state:
            case State.OVER | State.BEGUN:
                return None
            case State.PAUSED:
                return talk.say("still_waiting")
            case State.NOTING:
                return talk.ask("note_now")
            case _:
                return talk.present.prompt

    def _now(self, turn: Turn) -> Turn:
        first, self._first = self._first, ()
        turn = replace(turn, steps=(*first, *turn.steps))
        self._turn = turn
        self._played = 0
        return turn
