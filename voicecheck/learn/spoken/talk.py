"""The state of one spoken practice, and its moves: each returns the next turn."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from voicecheck.audio.tones import Tone
from voicecheck.dialogue.machine import State
from voicecheck.dialogue.turns import Listen, Notice, Say, SayKind, Signal, Step, Turn
from voicecheck.learn.events import LearnEvent
from voicecheck.learn.sessions.ports import Feedback, Listening, Question, Session
from voicecheck.learn.sessions.texts import Texts
from voicecheck.learn.spoken.listening import carry_on, listen_to, yes_or_no
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.round.checklist import Checklist
from voicecheck.speech.ports import ActiveSet

__all__ = ["Doubt", "Keep", "PracticeSettings", "Talk"]

Keep = Callable[[tuple[LearnEvent, ...]], object]
"""Keeps what happened, durably, before anything else is said."""

_MOST_FAILURES = 3
"""In a row; then practice is put aside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeSettings:
    """Patience of a session."""

    timeout_s: float = 15.0
    """Silence until noinput: one has to remember first."""
    guided_timeout_s: float = 60.0
    """The same on a guided walk, where the learner looks at something."""
    paused_timeout_s: float = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """Something that was read back."""

    text: str
    yes: Callable[[], Turn]
    no: Callable[[], Turn]
    value: str
    """What was understood."""


class Talk:
    """One session, what is being waited for, and what is in doubt."""

    def __init__(
        self,
        session: Session,
        checklist: Checklist,
        names: PlaceNames,
        keep: Keep,
        settings: PracticeSettings,
    ) -> None:
        self.session = session
        self.state = State.BEGUN
        self.doubt: Doubt | None = None
        self.checklist = checklist
        self.texts = Texts("spoken", checklist.language)
        self._names = names
        self._keep = keep
        self._settings = settings
        self._failures = 0

    @property
    def language(self) -> str:
        """Of prompts and answers."""
        return self.checklist.language

    def snapshot(self) -> Session:
        """Return a copy of the session that goes its own way."""
        shared = {id(self.checklist): self.checklist}  # it never changes
        return copy.deepcopy(self.session, shared)

    def keep(self, feedback: Feedback) -> tuple[Step, ...]:
        """Keep what a feedback brings; return what is to be said of it."""
        if feedback.events:
            self._keep(feedback.events)
        texts = (feedback.text, feedback.caution)
        return tuple(Say(text=text) for text in texts if text)

    def say(self, key: str, kind: SayKind = SayKind.INFO) -> Say:
        """Return a sentence."""
        return Say(text=self.texts.say(key), kind=kind)

    # ---- moves ----------------------------------------------------------

    def ask(self, steps: Iterable[Step] = ()) -> Turn:
        """Put the question of the session; nothing is in doubt any more."""
        self.doubt = None
        self.state = State.ASKING
        self._failures = 0
        question = self.session.ask()
        notice = Notice(kind="asked", data={"listening": question.listening.value})
        prompt = Say(text=question.text, kind=SayKind.PROMPT)
        return Turn(steps=(*steps, notice, prompt), then=self._answer_to(question))

    def read_back(
        self,
        text: str,
        value: str,
        yes: Callable[[], Turn],
        no: Callable[[], Turn] | None = None,
    ) -> Turn:
        """Say back what was understood, and wait for yes or no."""
        dropped = (self.say("not_taken"),)
        self.doubt = Doubt(
            text=text, value=value, yes=yes, no=no or (lambda: self.ask(dropped))
        )
        self.state = State.CONFIRMING
        self._failures = 0
        return self._put_doubt(self.doubt)

    def failed(self, kind: str) -> Turn:
        """Ask again; after the third failure in a row practice waits.

        Args:
            kind: noinput or nomatch.
        """
        notice = Notice(kind=kind)
        if self.state is State.PAUSED:
            return self._wait((notice,))
        self._failures += 1
        if self._failures >= _MOST_FAILURES:
            return self.pause((notice,))
        tone = () if kind == "noinput" else (Signal(tone=Tone.NOT_UNDERSTOOD),)
        steps: tuple[Step, ...] = (notice, *tone)
        if self.doubt is not None:
            return self._put_doubt(self.doubt, steps)
        question = self.session.ask()
        if self._failures == 1 and kind == "nomatch":
            prompt = self.say("nomatch", SayKind.PROMPT)
        else:
            prompt = Say(text=self._choices(question), kind=SayKind.PROMPT)
        return Turn(steps=(*steps, prompt), then=self._answer_to(question))

    def pause(self, steps: Iterable[Step] = ()) -> Turn:
        """Put practice aside until "carry on"."""
        self.doubt = None
        self.state = State.PAUSED
        notice = Notice(kind="paused", data={"cause": "practice"})
        return self._wait((*steps, notice, self.say("paused", SayKind.PROMPT)))

    def end(self, steps: Iterable[Step] = ()) -> Turn:
        """Say how it went, finished or broken off."""
        self.doubt = None
        told = self.keep(self.session.ending())
        self.state = State.OVER
        return Turn(steps=(*steps, *told), then=None)

    # ---- listening --------------------------------------------------------

    def _answer_to(self, question: Question) -> Listen:
        guided = question.listening is Listening.CONTROL
        settings = self._settings
        timeout_s = settings.guided_timeout_s if guided else settings.timeout_s
        return _listen(listen_to(question, self.language, self._names), timeout_s)

    def _put_doubt(self, doubt: Doubt, steps: Iterable[Step] = ()) -> Turn:
        value = {"value": doubt.value}
        say = Say(text=doubt.text, kind=SayKind.READBACK, value=value)
        listen = _listen(yes_or_no(self.language), self._settings.timeout_s)
        return Turn(steps=(*steps, say), then=listen)

    def _wait(self, steps: Iterable[Step]) -> Turn:
        listen = _listen(carry_on(self.language), self._settings.paused_timeout_s)
        return Turn(steps=tuple(steps), then=listen)

    def _choices(self, question: Question) -> str:
        """Say what may be said; names are not given away."""
        if question.listening is Listening.PLACE:
            said = (self.texts.say("not_heard_here"), self.texts.say("name_it"))
            return " ".join(said)
        listed = ", ".join(choice.words for choice in question.choices)
        return self.texts.say("choices", choices=listed)


def _listen(active: ActiveSet, timeout_s: float) -> Listen:
    return Listen(active=active, checkpoint_id=None, timeout_s=timeout_s)
