"""Practice by voice, turn by turn: any session, told what was heard.

Like the walk's conversation it knows no sound and no clock. What is only half
understood is read back for a yes; a call is read back before it is judged; what
was said from memory is said back and taken back with "no". So a mishearing is
never counted as the learner's mistake, and silence is never an answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from voicecheck.audio.noise_watch.loudness import Change
from voicecheck.audio.tones import Tone
from voicecheck.dialogue.confirmation import (
    Costs,
    CostTable,
    Outcome,
    decide,
    fitting,
    standard_costs,
)
from voicecheck.dialogue.heard_notice import heard_notice
from voicecheck.dialogue.machine import State
from voicecheck.dialogue.turns import Listen, Notice, Signal, Step, Turn
from voicecheck.errors import LearnError
from voicecheck.learn.sessions.ports import Feedback, Listening, Question, Session
from voicecheck.learn.spoken.listening import STEERS
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.learn.spoken.talk import Keep, PracticeSettings, Talk
from voicecheck.round.checklist import Checklist
from voicecheck.speech.ports import ActiveSet, Hypothesis, Listened, NoInput

__all__ = ["PracticeTalk", "costs_of"]

_SAID_BACK = 5.0
"""Cost, in turns, of a name, or a word of a guided walk, taken wrongly. What it
does is heard at once, and two turns mend it;
15 % of people do not object to a wrong read-back (Boyce 2008), which grades a point
wrongly, at 20 turns: 0.85 · 2 + 0.15 · 20. The weights are ours."""


class PracticeTalk:
    """Lead one session of practice by voice.

    Args:
        session: what is practised.
        checklist: in the language of the learner.
        names: how its places may be called.
        keep: keeps events.
        settings: None: the usual patience.
    """

    def __init__(
        self,
        session: Session,
        checklist: Checklist,
        names: PlaceNames,
        keep: Keep,
        settings: PracticeSettings | None = None,
    ) -> None:
        patience = settings or PracticeSettings()
        self._talk = Talk(session, checklist, names, keep, patience)
        self._refused: set[str] = set()
        self._call: list[tuple[Session, str]] = []
        """Parts of a call that is not judged yet: the session before, the words."""
        self._first: tuple[Step, ...] = ()
        self._turn = Turn(steps=(), then=None)
        self._played = 0

    @property
    def session(self) -> Session:
        """The session, as far as it has come."""
        return self._talk.session

    @property
    def language(self) -> str:
        """Of prompts and answers."""
        return self._talk.language

    @property
    def state(self) -> State:
        """What is being waited for."""
        return self._talk.state

    @property
    def zone_id(self) -> str | None:
        """Practice is nowhere in particular."""
        return None

    def begin(self) -> Turn:
        """Put the first question."""
        return self._now(self._talk.ask())

    def heard(self, listened: Listened, prompt_began_s: float) -> Turn:
        """Take in what was heard and return the next turn.

        Args:
            listened: what the listener gave.
            prompt_began_s: not used: in practice nobody is too fast.

        Raises:
            LearnError: the last turn does not listen.
        """
        listen = self._turn.then
        if not isinstance(listen, Listen):
            raise LearnError("the last turn does not listen: play what it asks for")
        if isinstance(listened, NoInput):
            return self._now(self._talk.failed("noinput"))
        found = fitting(listened, listen.active)
        # what was refused was an answer; the yes to a read-back is none
        refused = self._refused if self._talk.doubt is None else ()
        outcome = decide(found, costs_of(listen.active), refused=refused)
        turn = self._after(found, outcome)
        notice = heard_notice(found, outcome, listened)
        return self._now(replace(turn, steps=(notice, *turn.steps)))

    def note_recorded(self, clip_sha256: str, seconds: float) -> Turn:
        """Practice takes no notes.

        Raises:
            LearnError: always.
        """
        raise LearnError("practice takes no notes: play what the last turn asks for")

    def loudness_changed(self, change: Change) -> None:
        """Say once that it is too loud, and once that it is quiet again."""
        self._first = (self._talk.say("loud" if change.too_loud else "quiet"),)

    def device_lost(self, reason: str, played: int = 0) -> tuple[Step, ...]:
        """Wait because sound is gone; what is kept stays kept."""
        self._played = played
        return (Notice(kind="device_lost", data={"reason": reason}),)

    def device_back(self) -> Turn:
        """Say what was not said, or the question again, and listen."""
        left = self._turn.steps[self._played :] or self._turn.steps[-1:]
        back = (Notice(kind="device_back"), self._talk.say("device_back"))
        return self._now(Turn(steps=(*back, *left), then=self._turn.then))

    # ---- what becomes of something heard ----------------------------------

    def _after(self, found: tuple[Hypothesis, ...], outcome: Outcome) -> Turn:
        if outcome is Outcome.REJECT:
            return self._talk.failed("nomatch")
        best, sure = found[0], outcome is Outcome.ACCEPT
        if self._talk.state is State.PAUSED:
            return self._while_paused(best, sure=sure)
        if self._talk.doubt is not None:
            return self._settled(best, sure=sure)
        if best.control:
            return self._steered(best, sure=sure)
        if not sure and self._judges(best.meaning):
            sure = True  # the call is read back as a whole in any case
        return self._if(sure, best, lambda: self._take(best.meaning))

    def _judges(self, value: str) -> bool:
        """Tell whether this answer would complete a call."""
        return self._talk.snapshot().answer(value).right is not None

    def _if(self, sure: bool, best: Hypothesis, act: Callable[[], Turn]) -> Turn:
        """Do what was understood, or ask first whether it was said."""
        if sure:
            return act()
        text = self._talk.texts.say("sure", phrase=best.phrase)
        return self._talk.read_back(text, best.meaning, act)

    def _settled(self, best: Hypothesis, *, sure: bool) -> Turn:
        """Only a sure yes counts; a doubtful no is a no: the safe side."""
        doubt = self._talk.doubt
        assert doubt is not None, "something was read back"
        if best.meaning == "no":
            self._refused.add(doubt.value)
            return doubt.no()
        return doubt.yes() if sure else self._talk.failed("nomatch")

    def _steered(self, word: Hypothesis, *, sure: bool) -> Turn:
        """Obey a word that steers; one that leads away is read back in doubt."""
        talk = self._talk
        match word.meaning:
            case "hint":
                return talk.ask(talk.keep(talk.session.hint()))
            case "stop":
                return talk.read_back(talk.texts.say("stop"), "stop", talk.end)
            case "pause":
                return talk.pause()
        values = {choice.value for choice in talk.session.ask().choices}
        names = (STEERS + word.meaning, word.meaning)
        value = next((name for name in names if name in values), None)
        if value is not None:
            return self._lead(value, word, sure=sure)
        return talk.ask() if word.meaning == "again" else self._undo()

    def _lead(self, value: str, word: Hypothesis, *, sure: bool) -> Turn:
        """Give the session a word that steers; the end of all waits for a yes."""
        tried = self._talk.snapshot()
        tried.answer(value)
        if word.meaning == "done" and tried.finished:
            text = self._talk.texts.say("finish")
            return self._talk.read_back(text, word.meaning, lambda: self._take(value))
        return self._if(sure, word, lambda: self._take(value))

    def _while_paused(self, best: Hypothesis, *, sure: bool) -> Turn:
        if not sure:
            return self._talk.failed("nomatch")
        if best.meaning == "stop":
            return self._talk.end()
        notice = Notice(kind="resumed")
        return self._talk.ask((notice, self._talk.say("carrying_on")))

    def _take(self, value: str) -> Turn:
        """Answer the session; a call that would be judged is read back first."""
        talk = self._talk
        question = talk.session.ask()
        call = [*self._call, (talk.session, self._part(question, value))]
        tried = talk.snapshot()
        feedback = tried.answer(value)
        if feedback.right is None:
            parts = question.listening not in (Listening.PLACE, Listening.CONTROL)
            self._call = call if parts else []
            return self._commit(tried, feedback, value)

        def judged() -> Turn:
            self._call = []
            return self._commit(tried, feedback, value)

        def once_more() -> Turn:
            talk.session, self._call = call[0][0], []
            self._refused.clear()  # which part was misheard is not known
            return talk.ask((talk.say("call_again"),))

        text = talk.texts.say("right", call=", ".join(part for _, part in call))
        return talk.read_back(text, value, judged, once_more)

    def _part(self, question: Question, value: str) -> str:
        """Return one part of a call in words; a later yes or no with its question."""
        words = {choice.value: choice.words for choice in question.choices}[value]
        if question.listening is Listening.YES_NO and self._call:
            return f"{question.text.rstrip('?. ')}: {words}"
        return words

    def _commit(self, session: Session, feedback: Feedback, value: str) -> Turn:
        """Keep what the answer brought, and only then go on."""
        told = self._talk.keep(feedback)
        self._talk.session = session
        self._refused.clear()
        notice = Notice(kind="taken", data={"value": value, "right": feedback.right})
        steps = (notice, Signal(tone=Tone.TAKEN), *told)
        return self._talk.end(steps) if session.finished else self._talk.ask(steps)

    def _undo(self) -> Turn:
        """Take back the last part of a call that was not judged yet."""
        if not self._call:
            return self._talk.ask((self._talk.say("nothing_back"),))
        self._talk.session, _ = self._call.pop()
        steps = (Notice(kind="taken_back"), self._talk.say("not_taken"))
        return self._talk.ask(steps)

    def _now(self, turn: Turn) -> Turn:
        first, self._first = self._first, ()
        turn = replace(turn, steps=(*first, *turn.steps))
        self._turn = turn
        self._played = 0
        return turn


def costs_of(active: ActiveSet) -> CostTable:
    """Return what a mistake costs at a question of practice."""
    costs = standard_costs()
    if active.question not in (Listening.PLACE.value, Listening.CONTROL.value):
        return costs
    return costs.with_details(Costs(wrong=_SAID_BACK, hidden_finding=_SAID_BACK))
