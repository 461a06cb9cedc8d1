"""A conversation with an operator who says what a script wants, without sound."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from voicecheck.clock import ManualClock
from voicecheck.dialogue.confirmation import Outcome, decide
from voicecheck.dialogue.conversation import Conversation, DialogueSettings
from voicecheck.dialogue.turns import Listen, Notice, RecordNote, Say, SayKind, Turn
from voicecheck.dialogue.wording import Wording
from voicecheck.round import events as ev
from voicecheck.round.checklist import Checklist
from voicecheck.speech.grammar.numbers import parse_number
from voicecheck.speech.ports import ActiveSet, Heard, Hypothesis, NoInput
from voicecheck.store.ports import Entry
from voicecheck.store.session import WalkSession, walk_events
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import small_checklist

SURE = 0.999
"""A confidence that leaves no doubt."""

USUAL = {
    "start_check": "yes",
    "condition": "good",
    "level": "full",
    "number": "four five zero",
    "climb": "feet down",
    "yes_no": "yes",
    "paused": "carry on",
}
"""What the operator says at each question when all is well."""


class ScriptedTalk:
    """Drive a conversation by phrases.

    Args:
        checklist: what is asked.
        settings: of the conversation.
        before: a talk whose walk is taken up again, as after a restart.
    """

    def __init__(
        self,
        checklist: Checklist | None = None,
        settings: DialogueSettings | None = None,
        before: ScriptedTalk | None = None,
    ) -> None:
        self.checklist = checklist or small_checklist()
        self.clock: ManualClock = before.clock if before else ManualClock()
        self.journal: MemoryJournal = before.journal if before else MemoryJournal()
        begin = WalkSession.resume if before else WalkSession.start
        self.session = begin(
            self.journal,
            self.clock,
            self.checklist,
            unit="L-12",
            folder=Path("not used"),
        )
        wording = Wording(self.checklist, self.checklist.language)
        self.conversation = Conversation(self.session, wording, settings)
        self.turn = self.conversation.begin()
        self.prompt_began_s = 0.0
        self._play()

    # ---- what the operator does ---------------------------------------

    def say(
        self,
        phrase: str,
        confidence: float = SURE,
        *others: tuple[str, float],
        after_s: float = 5.0,
        snr_db: float = 20.0,
    ) -> Turn:
        """Say a phrase that may be said now; name others that it sounded like."""
        active = self.listening.active
        hypotheses = tuple(
            _hypothesis(active, text, share)
            for text, share in ((phrase, confidence), *others)
        )
        return self.hear(hypotheses, after_s=after_s, snr_db=snr_db)

    def say_doubtfully(self, phrase: str) -> Turn:
        """Say a phrase so that it is heard, but not surely enough to be taken."""
        active = self.listening.active
        for percent in range(99, 0, -1):
            confidence = percent / 100
            heard = [_hypothesis(active, phrase, confidence)]
            unsure = decide(heard, can_read_back=False) is Outcome.REJECT
            if unsure and decide(heard) is Outcome.CONFIRM:
                return self.say(phrase, confidence)
        raise AssertionError(f"{phrase!r} is taken or rejected, never doubted")

    def say_all(self, *phrases: str) -> Turn:
        """Say one phrase after the other, each at its turn."""
        for phrase in phrases:
            self.say(phrase)
        return self.turn

    def hear(
        self,
        hypotheses: tuple[Hypothesis, ...],
        *,
        after_s: float = 5.0,
        snr_db: float = 20.0,
        too_long: bool = False,
    ) -> Turn:
        """Let the program hear anything at all."""
        self.clock.advance(after_s)
        began_s = self.clock.monotonic_s()
        self.clock.advance(0.5)
        heard = Heard(
            hypotheses=hypotheses,
            started_s=began_s,
            ended_s=self.clock.monotonic_s(),
            noise_dbfs=-50.0,
            snr_db=snr_db,
            too_long=too_long,
        )
        self.turn = self.conversation.heard(heard, self.prompt_began_s)
        return self._play()

    def chatter(self) -> Turn:
        """Speak, but nothing that the program knows."""
        return self.hear(())

    def silence(self) -> Turn:
        """Say nothing until the program gives up waiting."""
        waited_s = self.listening.timeout_s
        self.clock.advance(waited_s)
        nothing = NoInput(waited_s=waited_s, noise_dbfs=-50.0)
        self.turn = self.conversation.heard(nothing, self.prompt_began_s)
        return self._play()

    def note(self, clip_sha256: str = "ab" * 32) -> Turn:
        """Speak the note that was asked for; an empty hash: say nothing."""
        seconds = 2.0 if clip_sha256 else 0.0
        self.turn = self.conversation.note_recorded(clip_sha256, seconds)
        return self._play()

    def lose_device(self, played: int | None = None) -> None:
        """Unplug, after so many steps of the turn; None: while listening."""
        steps = len(self.turn.steps) if played is None else played
        self.conversation.device_lost("unplugged", steps)

    def replug(self) -> Turn:
        """Give sound back."""
        self.turn = self.conversation.device_back()
        return self._play()

    def usual(self, **but: str) -> Turn:
        """Say the usual thing at the question at hand."""
        return self.say(({**USUAL, **but})[self.question])

    def walk_to(self, checkpoint_id: str) -> Turn:
        """Answer well until this point, "climb" or "declaration" comes up."""
        while self.at != checkpoint_id:
            self.usual()
        return self.turn

    # ---- what can be seen ---------------------------------------------

    @property
    def listening(self) -> Listen:
        """What is listened for now."""
        assert isinstance(self.turn.then, Listen), self.turn
        return self.turn.then

    @property
    def question(self) -> str:
        """Name of the question; "note" or "" when none is listened for."""
        match self.turn.then:
            case Listen() as listen:
                return listen.active.question
            case RecordNote():
                return "note"
            case _:
                return ""

    @property
    def at(self) -> str:
        """The point whose first question is asked, "climb" or "declaration"."""
        if self.question == "climb":
            return "climb"
        if self.question == "yes_no" and self.listening.checkpoint_id is None:
            return "declaration"
        first = {"start_check", "condition", "level", "number"}
        if self.question in first:
            return self.listening.checkpoint_id or ""
        return ""

    @property
    def texts(self) -> list[str]:
        """All that is said in the present turn."""
        return [step.text for step in self.turn.steps if isinstance(step, Say)]

    @property
    def prompt(self) -> str:
        """The last thing that is said in the present turn."""
        return self.texts[-1]

    def notices(self, kind: str) -> list[Mapping[str, Any]]:
        """The data of the present turn's notices of one kind."""
        return [
            step.data
            for step in self.turn.steps
            if isinstance(step, Notice) and step.kind == kind
        ]

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All that is kept in the journal."""
        return self.journal.entries(self.session.walk_id)

    @property
    def kept(self) -> list[ev.WalkEvent]:
        """The events that make the walk, without its start."""
        return [
            event
            for event in walk_events(self.entries)
            if not isinstance(event, ev.WalkStarted)
        ]

    @property
    def observed(self) -> list[str]:
        """Kinds of what was observed."""
        events = [entry.event for entry in self.entries]
        return [event.kind for event in events if isinstance(event, ev.Observed)]

    @property
    def answers(self) -> dict[str, Any]:
        """The answers as they stand."""
        return self.session.walk.answers

    def how(self) -> ev.How:
        """How the newest answer came in."""
        return next(e.how for e in reversed(self.entries) if e.how is not None)

    def _play(self) -> Turn:
        """Let the time go by that the turn takes to be said."""
        for step in self.turn.steps:
            if isinstance(step, Say):
                if step.kind is not SayKind.INFO:
                    self.prompt_began_s = self.clock.monotonic_s()
                self.clock.advance(0.5)
        return self.turn


def talk_at(
    checkpoint_id: str,
    *,
    checklist: Checklist | None = None,
    settings: DialogueSettings | None = None,
) -> ScriptedTalk:
    """Return a talk in which all was well until this point came up."""
    talk = ScriptedTalk(checklist, settings)
    talk.walk_to(checkpoint_id)
    return talk


def _hypothesis(active: ActiveSet, text: str, confidence: float) -> Hypothesis:
    """A phrase of the active set, or a number where one may be said."""
    phrase = active.phrase(text)
    if phrase is not None:
        return Hypothesis(
            phrase=text,
            meaning=phrase.meaning,
            confidence=confidence,
            control=phrase.control,
        )
    value = parse_number(text, active.language) if active.numbers else None
    assert value is not None, f"{text!r} may not be said at {active.question}"
    return Hypothesis(phrase=text, meaning=str(value), confidence=confidence)
