"""Words that steer the dialogue: repeat, help, go back, skip, pause, note, stop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from voicecheck.dialogue import prompts
from voicecheck.dialogue.confirmation import Outcome
from voicecheck.dialogue.turns import Notice, Say, Step, Turn
from voicecheck.round import events as ev
from voicecheck.round.checklist import CheckpointKind
from voicecheck.speech.ports import Hypothesis

if TYPE_CHECKING:
    from voicecheck.dialogue.conversation import Conversation

_HARMLESS = {"repeat", "help", "remaining"}
"""Obeyed without a read-back even when they are in doubt."""


class Controls:
    """Obey control words for one conversation."""

    def __init__(self, conversation: Conversation) -> None:
        self._talk = conversation

    def obey(self, word: Hypothesis, outcome: Outcome, confirmed: bool = False) -> Turn:
        """Do what a control word asks, reading it back first where it matters."""
        talk = self._talk
        if word.meaning == "back" and talk.state.startswith("confirming"):
            return talk.refuse()
        doubtful = outcome is not Outcome.ACCEPT and word.meaning not in _HARMLESS
        if not confirmed and (doubtful or word.meaning == "stop"):
            return talk.confirm_control(word)
        act = {
            "repeat": self._repeat,
            "help": self._help,
            "remaining": self._remaining,
            "back": self._back,
            "skip": self._skip,
            "pause": self._pause,
            "note": talk.note,
            "stop": self._stop,
        }[word.meaning]
        return act()

    def _repeat(self) -> Turn:
        return self._talk.replace_last([])

    def _help(self) -> Turn:
        talk = self._talk
        walk = talk.keeper.walk
        active = talk.active
        if active is None or talk.draft.checkpoint_id is None:
            steps: list[Step] = []
            if active is not None:
                steps = [Say(text=prompts.choices(talk.wording, active))]
            return talk.replace_last(steps)
        point = walk.checklist.checkpoint(talk.draft.checkpoint_id)
        text = prompts.help_text(talk.wording, point, active)
        return talk.replace_last([Say(text=text, checkpoint_id=point.id)])

    def _remaining(self) -> Turn:
        left = self._talk.keeper.walk.remaining
        return self._talk.replace_last(
            [Say(text=self._talk.wording.say("remaining", left=left))]
        )

    def _back(self) -> Turn:
        talk = self._talk
        if talk.state.startswith("skipping"):
            return talk.go_on([Say(text=talk.wording.say("not_taken"))])
        if talk.draft.parts:
            return talk.refuse()
        walk = talk.keeper.walk
        last = walk.last_answered
        if last is None:
            text = talk.wording.say("nothing_to_take_back")
            return talk.go_on([Say(text=text)])
        talk.keeper.commit(ev.AnswerWithdrawn(checkpoint_id=last))
        point = walk.checklist.checkpoint(last)
        text = talk.wording.say("taken_back", point=talk.wording.point(point))
        return talk.go_on(
            [
                Notice(kind="withdrawn", data={"checkpoint": last}),
                Say(text=text.rstrip(": ") + "."),
            ]
        )

    def _skip(self) -> Turn:
        talk = self._talk
        walk = talk.keeper.walk
        checkpoint_id = talk.draft.checkpoint_id
        if checkpoint_id is None:
            return talk.ask_again([Say(text=talk.wording.say("cannot_skip"))])
        point = walk.checklist.checkpoint(checkpoint_id)
        if point.kind is CheckpointKind.START:
            return talk.go_on([Say(text=talk.wording.say("cannot_skip"))])
        if checkpoint_id in walk.skipped:
            return talk.go_on([Say(text=talk.wording.say("cannot_skip_again"))])
        talk.draft.restart()
        return talk.ask_why_skip()

    def _pause(self) -> Turn:
        return self._talk.pause(
            [Say(text=self._talk.wording.say("paused"))], "operator"
        )

    def _stop(self) -> Turn:
        talk = self._talk
        talk.keeper.commit(ev.WalkStopped(reason="operator"))
        return talk.go_on([Say(text=talk.wording.say("stopped"))])
