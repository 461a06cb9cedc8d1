"""What one conversation knows, and the few moves that all of it is made of."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from voicecheck.dialogue.asked import Asked
from voicecheck.dialogue.draft import Draft
from voicecheck.dialogue.habit import Habit
from voicecheck.dialogue.machine import QUESTIONS, DialogueMachine, State, Trigger
from voicecheck.dialogue.ports import Keeper
from voicecheck.dialogue.settings import DialogueSettings
from voicecheck.dialogue.turns import (
    Listen,
    Notice,
    RecordNote,
    Say,
    SayKind,
    Step,
    Turn,
)
from voicecheck.dialogue.wording import Wording
from voicecheck.round import events as ev
from voicecheck.round.checklist import Checkpoint
from voicecheck.round.probing import Question, QuestionName
from voicecheck.round.walk import Walk
from voicecheck.speech.grammar.active import active_set


class Talk:
    """The state of one conversation.

    `asked` is the question at hand. A control word that is read back lies on
    top of it as `doubt`; when that is settled, `asked` is put again.
    """

    def __init__(
        self, keeper: Keeper, wording: Wording, settings: DialogueSettings
    ) -> None:
        self.keeper = keeper
        self.wording = wording
        self.settings = settings
        self.machine = DialogueMachine()
        self.draft = Draft()
        self.habit = Habit()
        self.asked: Asked | None = None
        self.doubt: Asked | None = None
        self.zone_id: str | None = None
        self.hinted_loud = False
        self.told_better: set[str] = set()
        """Meanings whose better way to be said was told."""
        self.too_loud = False
        """Whether it is too loud now to hear reliably."""

    @property
    def walk(self) -> Walk:
        """The walk as it is kept."""
        return self.keeper.walk

    @property
    def state(self) -> State:
        """What is being waited for."""
        return self.machine.state

    @property
    def present(self) -> Asked:
        """The question that is being answered now."""
        now = self.doubt or self.asked
        assert now is not None, "nothing was asked yet"
        return now

    @property
    def point(self) -> Checkpoint:
        """The checkpoint that is being answered now."""
        return self.walk.checklist.checkpoint(self.draft.checkpoint_id or "")

    def say(self, key: str, **values: object) -> Say:
        """Return a sentence about the point at hand."""
        return Say(
            text=self.wording.say(key, **values),
            checkpoint_id=self.draft.checkpoint_id,
        )

    def ask(self, key: str) -> Say:
        """Return a sentence that asks for something."""
        return replace(self.say(key), kind=SayKind.PROMPT)

    def leave_point(self) -> None:
        """Something was kept: the next asking of any point begins anew."""
        self.draft = Draft()

    # ---- moves: each returns the next turn ----------------------------

    def put(self, asked: Asked, steps: Iterable[Step] = ()) -> Turn:
        """Put a new question."""
        self.asked = asked
        return self.put_again(steps)

    def put_again(self, steps: Iterable[Step] = ()) -> Turn:
        """Put the question at hand again, as if for the first time."""
        self.return_to_question()
        asked = self.present
        return Turn(steps=(*steps, asked.prompt), then=asked.listen)

    def put_doubt(self, doubt: Asked, steps: Iterable[Step] = ()) -> Turn:
        """Ask about a control word before going on with the question at hand."""
        self.doubt = doubt
        self.machine.fire(Trigger.READ_BACK)
        return Turn(steps=(*steps, doubt.prompt), then=doubt.listen)

    def return_to_question(self) -> None:
        """Drop what lies on top of the question at hand; start its count anew."""
        self.doubt = None
        self.machine.fire(QUESTIONS[self.present.state])

    def remind(self, steps: Iterable[Step] = (), prompt: Say | None = None) -> Turn:
        """Say something and ask on; failures are neither counted nor forgotten."""
        now = self.present
        listen = now.listen
        if self.machine.failures:
            wait_s = min(listen.timeout_s, self._retry_s(now))
            listen = replace(listen, timeout_s=wait_s)
        return Turn(steps=(*steps, prompt or now.prompt), then=listen)

    def take_note(self) -> Turn:
        """Ask for a note."""
        self.machine.fire(Trigger.TAKE_NOTE)
        return Turn(
            steps=(self.ask("note_now"),),
            then=RecordNote(checkpoint_id=self.draft.checkpoint_id),
        )

    def pause(self, steps: Iterable[Step], cause: str) -> Turn:
        """Put the walk aside until "carry on"; the question at hand stays."""
        if self.state is not State.PAUSED:
            self.machine.fire(Trigger.PAUSE)
        self.doubt = None
        self.keeper.commit(ev.WalkPaused(cause=cause))
        return self.wait((Notice(kind="paused", data={"cause": cause}), *steps))

    def wait(self, steps: Iterable[Step] = ()) -> Turn:
        """Listen for "carry on"."""
        listen = self.listen(QuestionName.PAUSED, self.settings.paused_timeout_s)
        return Turn(steps=tuple(steps), then=listen)

    # ---- listening ----------------------------------------------------

    def listen_to(self, question: Question, timeout_s: float) -> Listen:
        """Listen for the answer to a question about a point."""
        active = active_set(
            question.name.value, self.wording.language, question.meanings
        )
        return Listen(
            active=active,
            checkpoint_id=question.checkpoint_id,
            timeout_s=timeout_s,
        )

    def listen(self, name: QuestionName, timeout_s: float | None = None) -> Listen:
        """Listen for anything that a question takes."""
        question = Question(name=name, checkpoint_id=self.draft.checkpoint_id)
        return self.listen_to(question, timeout_s or self.settings.timeout_s)

    def _retry_s(self, now: Asked) -> float:
        if now.state is State.CLIMBING:
            return self.settings.paused_timeout_s
        return self.settings.retry_timeout_s
