"""Whatever is heard, in whatever order: no answer that nobody gave."""

from __future__ import annotations

from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
)

from voicecheck.dialogue.confirmation import Outcome, decide
from voicecheck.dialogue.conversation import DialogueSettings
from voicecheck.dialogue.machine import State
from voicecheck.dialogue.turns import RecordNote, Say, SayKind
from voicecheck.round import answers as an
from voicecheck.round import events as ev
from voicecheck.round.decision import finding_kind
from voicecheck.round.record import answer_data
from voicecheck.round.walk import Walk
from voicecheck.speech.grammar.numbers import parse_number
from voicecheck.speech.ports import Hypothesis
from voicecheck.store.session import walk_events
from voicecheck.testing.scripted_talk import SURE, ScriptedTalk
from voicecheck.testing.small_checklist import small_checklist

CHECKLIST = small_checklist()
PLACES = ("hour_meter", "parked", "left_wheel", "climb", "belts", "camera")
STARTS = st.sampled_from((*PLACES, "declaration"))
NUMBERS = ("zero", "four five zero", "nine nine nine nine", "one point two")
OPENINGS = {point.id for point in CHECKLIST.checkpoints}
REPORTS = {
    "start_check": [("no",)],
    "condition": [("defect", "loose", "major"), ("cannot check", "too dark")],
    "level": [("low",), ("cannot check", "unsafe")],
    "number": [("four five zero",), ("cannot check", "no tool")],
}
"""Words that end in a read-back, by the first question of a point."""
FAINT = 0.6
"""A confidence that no answer is taken on."""
QUESTIONS = {
    State.ASKING: {
        "start_check",
        "condition",
        "level",
        "number",
        "digit",
        "fault",
        "severity",
        "fluid",
        "leak_class",
        "reason",
    },
    State.SKIPPING: {"reason"},
    State.CONFIRMING: {"yes_no"},
    State.CLIMBING: {"climb"},
    State.DECLARING: {"yes_no"},
    State.NOTING: {"note"},
    State.PAUSED: {"paused"},
    State.OVER: {""},
}


class AnyTalk(RuleBasedStateMachine):
    """What both machines below do alike."""

    def __init__(self) -> None:
        super().__init__()
        self.talk: ScriptedTalk | None = None

    @initialize(start=STARTS, always=st.booleans())
    def begin(self, start: str, always: bool) -> None:
        """A walk on which all was well until some point."""
        settings_ = DialogueSettings(confirm_always=always)
        self.talk = ScriptedTalk(CHECKLIST, settings_)
        self.talk.walk_to(start)
        self.readback: dict[str, Any] | None = None
        self.kept = len(self.talk.kept)
        self.answers_at_start = len(self.talk.answers)
        self.notice_readback()

    @property
    def listens(self) -> bool:
        """Whether an answer is listened for."""
        return self.talk is not None and self.talk.question not in ("", "note")

    def notice_readback(self) -> None:
        """Remember the last answer that was read back aloud."""
        for step in self.talk.turn.steps:
            if isinstance(step, Say) and step.kind is SayKind.READBACK:
                self.readback = {"checkpoint": step.checkpoint_id, **(step.value or {})}

    def hear(self, hypotheses: tuple[Hypothesis, ...], *, too_long: bool) -> None:
        """Let something be heard, and look at what was kept of it."""
        before = self.talk.conversation.state
        readback = self.readback
        self.talk.hear(hypotheses, too_long=too_long)
        self.notice_readback()
        new = self.talk.kept[self.kept :]
        self.kept += len(new)
        for event in new:
            if isinstance(event, ev.AnswerConfirmed):
                self.look_at(event, before, readback)

    def look_at(
        self, event: ev.AnswerConfirmed, before: State, readback: dict[str, Any] | None
    ) -> None:
        """An answer was kept: a sure yes to just this, or said beyond doubt."""
        (heard,) = self.talk.notices("heard")
        how = self.talk.how()
        assert heard["outcome"] == "accept"
        if how.confirmed_by == "explicit":
            assert before is State.CONFIRMING
            assert heard["phrase"] in ("yes", "affirm")
            assert readback == {
                "checkpoint": event.checkpoint_id,
                **answer_data(event.answer),
            }
            return
        point = CHECKLIST.checkpoint(event.checkpoint_id)
        assert before is State.ASKING
        assert not isinstance(event.answer, an.ReadingTaken | an.NotFitted)
        assert finding_kind(point, event.answer) is None
        assert how.words == (heard["phrase"],)

    @property
    def waits(self) -> bool:
        """Whether a question is open: most of what happens is about those."""
        return self.listens and self.talk.question != "paused"

    @precondition(lambda self: self.waits)
    @rule()
    def silence(self) -> None:
        """Nobody speaks."""
        self.talk.silence()

    @precondition(lambda self: self.waits)
    @rule(too_long=st.booleans())
    def chatter(self, too_long: bool) -> None:
        """Speech or noise like nothing in the grammar."""
        self.hear((), too_long=too_long)

    @precondition(lambda self: self.listens and not self.waits)
    @rule(data=st.data())
    def be_paused(self, data: st.DataObject) -> None:
        """Silence, chatter and faint words while the walk waits; then carry on."""
        self.talk.silence()
        self.hear((), too_long=False)
        self.hear(self.drawn(data, FAINT), too_long=False)
        if self.talk.question == "paused":
            self.talk.say("carry on")

    @precondition(lambda self: self.talk and self.talk.question == "note")
    @rule(spoken=st.booleans())
    def note(self, spoken: bool) -> None:
        """Speak a note, or do not."""
        assert isinstance(self.talk.turn.then, RecordNote)
        self.talk.note("ab" * 32 if spoken else "")
        self.kept = len(self.talk.kept)

    @precondition(lambda self: self.talk is not None)
    @rule(data=st.data())
    def lose_the_device(self, data: st.DataObject) -> None:
        """At any moment of a turn."""
        steps = len(self.talk.turn.steps)
        self.talk.lose_device(data.draw(st.integers(0, steps)))
        self.talk.replug()
        self.kept = len(self.talk.kept)
        self.notice_readback()

    def drawn(
        self, data: st.DataObject, most: float, *, controls: bool = True
    ) -> tuple[Hypothesis, ...]:
        """Phrases of the question at hand, with no more confidence than `most`."""
        active = self.talk.listening.active
        phrases = [p for p in active.phrases if controls or not p.control]
        chosen = data.draw(
            st.lists(st.sampled_from(phrases), min_size=1, max_size=3, unique=True)
        )
        found = [
            Hypothesis(
                phrase=p.text,
                meaning=p.meaning,
                confidence=data.draw(st.floats(0.0, most)) / place,
                control=p.control,
            )
            for place, p in enumerate(chosen, 1)
        ]
        if active.numbers and data.draw(st.booleans()):
            text = data.draw(st.sampled_from(NUMBERS))
            meaning = str(parse_number(text, "en"))
            share = data.draw(st.floats(0.0, most))
            number = Hypothesis(phrase=text, meaning=meaning, confidence=share)
            found.insert(data.draw(st.integers(0, len(found))), number)
        return tuple(found)

    @invariant()
    def all_hangs_together(self) -> None:
        """What is listened for fits the state; a pause is a pause on both sides."""
        if self.talk is None:
            return
        state, walk = self.talk.conversation.state, self.talk.session.walk
        assert self.talk.question in QUESTIONS[state]
        assert walk.over is (state is State.OVER)
        assert walk.over or walk.paused is (state is State.PAUSED)

    def teardown(self) -> None:
        """The journal makes the same walk."""
        if self.talk is None:
            return
        again = Walk.replay(CHECKLIST, walk_events(self.talk.entries))
        assert again.answers == self.talk.answers
        assert again.task == self.talk.session.walk.task


class OnlyNoise(AnyTalk):
    """Silence, chatter, faint words, and any control word."""

    @precondition(lambda self: self.waits)
    @rule(data=st.data())
    def mumble(self, data: st.DataObject) -> None:
        """Words that may be said now, but faint."""
        self.hear(self.drawn(data, FAINT), too_long=False)

    @precondition(lambda self: self.waits)
    @rule(data=st.data())
    def steer(self, data: st.DataObject) -> None:
        """A control word, however sure."""
        active = self.talk.listening.active
        words = [p for p in active.phrases if p.control]
        if not words:
            return
        word = data.draw(st.sampled_from(words))
        heard = Hypothesis(
            phrase=word.text,
            meaning=word.meaning,
            confidence=data.draw(st.sampled_from((0.75, SURE))),
            control=True,
        )
        self.hear((heard,), too_long=False)

    @invariant()
    def nothing_is_answered_and_nothing_signed(self) -> None:
        """No answer joins those of the start; the walk cannot end well."""
        if self.talk is None:
            return
        kept = self.talk.kept
        answers = [e for e in kept if isinstance(e, ev.AnswerConfirmed)]
        assert len(answers) == self.answers_at_start
        assert not any(isinstance(e, ev.Declared) and e.accepted for e in kept)


class Anything(AnyTalk):
    """Any words with any confidence, those that may not be said now included."""

    @precondition(lambda self: self.waits)
    @rule(data=st.data())
    def speak(self, data: st.DataObject) -> None:
        """Words that may be said now, faint to sure."""
        self.hear(self.drawn(data, 1.0), too_long=data.draw(st.booleans()))

    @precondition(lambda self: self.waits)
    @rule(data=st.data())
    def speak_clearly(self, data: st.DataObject) -> None:
        """One phrase beyond doubt, so that the walk gets on."""
        phrase = self.drawn(data, 1.0, controls=data.draw(st.booleans()))[0]
        sure = Hypothesis(
            phrase=phrase.phrase,
            meaning=phrase.meaning,
            confidence=SURE,
            control=phrase.control,
        )
        self.hear((sure,), too_long=False)

    @precondition(lambda self: self.listens and self.talk.at in OPENINGS)
    @rule(data=st.data())
    def report(self, data: st.DataObject) -> None:
        """Say all parts of something that has to be read back, beyond doubt."""
        words = data.draw(st.sampled_from(REPORTS[self.talk.question]))
        for text in words:
            self.talk.say(text)
            self.notice_readback()
        assert self.talk.conversation.state is State.CONFIRMING

    @precondition(lambda self: self.talk and self.talk.question == "yes_no")
    @rule(
        phrase=st.sampled_from(("yes", "no", "go back")),
        confidence=st.sampled_from((0.5, 0.8, 0.9, SURE)),
    )
    def answer_the_read_back(self, phrase: str, confidence: float) -> None:
        """Yes, no or correction: doubtful or sure."""
        said = self.talk.listening.active.phrase(phrase)
        word = Hypothesis(
            phrase=phrase,
            meaning=said.meaning,
            confidence=confidence,
            control=said.control,
        )
        self.hear((word,), too_long=False)

    @precondition(lambda self: self.listens)
    @rule(
        phrase=st.sampled_from(("good", "yes", "feet down", "fuel", "carry on", "x")),
        meaning=st.sampled_from(("good", "yes", "done", "skip", "NaN", "-5", "1e9")),
        confidence=st.sampled_from((0.5, 1.0, 2.0, -1.0, float("nan"))),
        control=st.booleans(),
    )
    def hear_nonsense(
        self, phrase: str, meaning: str, confidence: float, control: bool
    ) -> None:
        """What no recogniser should say."""
        wrong = Hypothesis(
            phrase=phrase, meaning=meaning, confidence=confidence, control=control
        )
        self.hear((wrong,), too_long=False)


def test_faint_words_are_never_taken_for_an_answer() -> None:
    """The premise of `OnlyNoise`: on such a confidence no part that ends a point,
    and no yes, is accepted."""
    for meaning in ("good", "not_fitted", "full", "between", "yes", "done"):
        faint = Hypothesis(phrase=meaning, meaning=meaning, confidence=FAINT)
        assert decide([faint]) is not Outcome.ACCEPT


_FEW = settings(max_examples=25, stateful_step_count=25, deadline=None)
OnlyNoise.TestCase.settings = _FEW
Anything.TestCase.settings = _FEW
TestOnlyNoise = OnlyNoise.TestCase
TestAnything = Anything.TestCase
