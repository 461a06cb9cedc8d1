"""Practice by voice: nothing misheard is judged, silence is no answer."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.audio.noise_watch.loudness import Advice, Change
from voicecheck.dialogue.machine import State
from voicecheck.dialogue.turns import Listen, Notice, Say, Turn
from voicecheck.errors import LearnError
from voicecheck.learn.events import Call, CallParts, LearnEvent, Look, Mode, Opened
from voicecheck.learn.events import Order as OrderSaid
from voicecheck.learn.sessions.guided import Guided
from voicecheck.learn.sessions.next_point import NextPoint
from voicecheck.learn.sessions.ports import (
    Choice,
    Feedback,
    Listening,
    Question,
    Session,
)
from voicecheck.learn.spoken.conversation import PracticeTalk
from voicecheck.learn.spoken.places import PlaceNames
from voicecheck.round.checklist import Outcome
from voicecheck.speech.ports import Heard, Hypothesis, NoInput
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()
NAMES = PlaceNames(SMALL)
SURE, DOUBTFUL, FAINT = 0.99, 0.7, 0.2


class TwoCalls:
    """Two situations: one is a major defect, the other good."""

    mode = Mode.SPOT

    def __init__(self) -> None:
        self.parts: list[str] = []
        self.judged = 0

    @property
    def finished(self) -> bool:
        return self.judged == 2

    def ask(self) -> Question:
        listening, values = (
            (Listening.CONDITION, ("good", "defect")),
            (Listening.SEVERITY, ("minor", "major", "critical")),
            (Listening.YES_NO, ("yes", "no")),
        )[len(self.parts)]
        words = tuple(Choice(value=value, words=value) for value in values)
        text = ("A crack. What is it?", "How bad?", "May it work?")[len(self.parts)]
        return Question(text=text, listening=listening, choices=words)

    def answer(self, value: str) -> Feedback:
        self.parts.append(value)
        if value == "defect" or len(self.parts) == 2:
            return Feedback(text="")
        said, self.parts = self.parts, []
        self.judged += 1
        parts = CallParts(opened=Opened(said[0]), may_work=said[-1] != "no")
        call = Call(
            checklist="small",
            checkpoint="left_wheel",
            situation=" ".join(said),
            expected=parts,
            said=parts,
            outcome=Outcome.MAY_WORK,
        )
        return Feedback(text="Judged.", right=True, caution="Mind.", events=(call,))

    def hint(self) -> Feedback:
        return Feedback(text="A crack is no scratch.")

    def ending(self) -> Feedback:
        return Feedback(text="The end.")


class Practice:
    """A conversation with a learner who is heard as the test says."""

    def __init__(self, session: Session) -> None:
        self.kept: list[LearnEvent] = []
        self.talk = PracticeTalk(session, SMALL, NAMES, self.kept.extend)
        self.turn: Turn = self.talk.begin()

    def say(self, *phrases: str, sure: float = SURE) -> str:
        """Say phrases one after the other; return what is answered to the last."""
        for phrase in phrases:
            self.hear(phrase, sure)
        return self.spoken

    def hear(self, phrase: str, confidence: float) -> None:
        assert isinstance(self.turn.then, Listen)
        known = self.turn.then.active.phrase(phrase)
        assert known is not None, phrase
        found = Hypothesis(
            phrase=phrase,
            meaning=known.meaning,
            confidence=confidence,
            control=known.control,
        )
        self.take((found,))

    def take(self, found: Sequence[Hypothesis]) -> None:
        heard = Heard(
            hypotheses=tuple(found), started_s=0, ended_s=1, noise_dbfs=-60, snr_db=20
        )
        self.turn = self.talk.heard(heard, 0.0)

    def silence(self) -> str:
        """Say nothing."""
        self.turn = self.talk.heard(NoInput(waited_s=15, noise_dbfs=-60), 0.0)
        return self.spoken

    @property
    def spoken(self) -> str:
        """What is said in this turn."""
        return " ".join(s.text for s in self.turn.steps if isinstance(s, Say))

    @property
    def notices(self) -> list[str]:
        return [s.kind for s in self.turn.steps if isinstance(s, Notice)]


def order_said(practice: Practice) -> list[tuple[str, ...]]:
    """Orders that were kept."""
    return [event.said for event in practice.kept if isinstance(event, OrderSaid)]


def test_a_name_is_said_back_and_no_takes_it_back() -> None:
    """A mishearing is mended with one word, and not kept."""
    practice = Practice(NextPoint(SMALL, zones=["left_side"]))

    heard = practice.say("leaks below")
    mended = practice.say("no")
    practice.say("left tyre", "left wheel", "leaks below")
    assert practice.say("that is all").endswith("Is that all?")
    practice.say("yes")

    assert "Leaks below. Next?" in heard
    assert "Taken back." in mended
    assert order_said(practice) == [("left_tyre", "left_wheel", "leaks_below")]
    assert "all in order" in practice.spoken
    assert practice.turn.then is None
    assert practice.talk.state is State.OVER


def test_a_doubtful_name_is_asked_about() -> None:
    """Yes takes it; no asks again, and the same name then needs a yes."""
    practice = Practice(NextPoint(SMALL, zones=["cab"]))

    assert "Did you say camera?" in practice.say("camera", sure=DOUBTFUL)
    assert practice.talk.state is State.CONFIRMING
    assert "What do you look at first?" in practice.say("no")
    assert "Did you say camera?" in practice.say("camera")
    assert "Camera. Next?" in practice.say("yes")


def test_a_call_is_read_back_before_it_is_judged() -> None:
    """No drops the whole call: nothing is kept of what was misheard."""
    practice = Practice(TwoCalls())

    readback = practice.say("defect", "minor", "no")
    again = practice.say("no")
    practice.say("defect", "major", "no")
    judged = practice.say("yes")

    assert readback.endswith("You call it: defect, minor, May it work: no. Right?")
    assert "Once more. A crack. What is it?" in again
    assert "Judged. Mind." in judged
    assert [e.situation for e in practice.kept if isinstance(e, Call)] == [
        "defect major no"
    ]


def test_a_call_that_was_refused_can_be_affirmed_the_next_time() -> None:
    """The yes in a refused call does not stand in the way of the yes to the next."""
    practice = Practice(TwoCalls())

    practice.say("defect", "minor", "yes", "no")
    practice.say("good")
    practice.say("yes")

    assert [e.situation for e in practice.kept if isinstance(e, Call)] == ["good"]


def test_one_part_of_a_call_can_be_taken_back() -> None:
    """Go back undoes the last part only."""
    practice = Practice(TwoCalls())

    practice.say("defect", "minor")
    assert "How bad?" in practice.say("go back")
    assert "What is it?" in practice.say("go back")
    assert "nothing to take back" in practice.say("go back")


def test_a_half_heard_yes_judges_nothing() -> None:
    """A doubtful yes is no yes; a doubtful no is a no."""
    practice = Practice(TwoCalls())
    practice.say("good")

    practice.say("yes", sure=DOUBTFUL)
    assert practice.kept == []
    practice.say("no", sure=DOUBTFUL)
    assert practice.kept == []
    assert practice.talk.state is State.ASKING


def test_silence_and_chatter_lead_to_a_pause_never_to_an_answer() -> None:
    """Again, what may be said, then practice waits; names are not given away."""
    practice = Practice(NextPoint(SMALL, zones=["left_side"]))

    practice.take(())
    assert practice.spoken == "Again?"
    choices = practice.silence()
    practice.silence()

    assert "wheel" not in choices and "tyre" not in choices
    assert "paused" in practice.notices
    assert practice.talk.state is State.PAUSED
    assert practice.silence() == ""
    assert "Carrying on. Left side." in practice.say("carry on")
    assert practice.kept == []


def test_a_guided_walk_is_led_by_a_few_words() -> None:
    """Each next keeps that the point was gone through; stop ends it, after a yes."""
    practice = Practice(Guided(SMALL))

    practice.say("next", "carry on")
    assert "It matters." in practice.say("why")
    assert "It looks wrong." in practice.say("what is wrong")
    assert "hour meter?" not in practice.say("repeat")
    assert "parked?" in practice.say("go back")
    assert "End practice here?" in practice.say("stop")
    ending = practice.say("yes")

    points = [e.checkpoint for e in practice.kept if isinstance(e, Look)]
    assert points == ["hour_meter", "parked"]
    assert "You went through 2 of 10 points." in ending
    assert practice.turn.then is None


def test_no_to_stop_goes_on() -> None:
    """A misheard stop ends nothing."""
    practice = Practice(Guided(SMALL))

    practice.say("stop", "no")

    assert practice.talk.state is State.ASKING
    assert not practice.talk.session.finished


def test_a_pause_can_be_asked_for_and_ended() -> None:
    """Stop while put aside ends practice at once."""
    practice = Practice(Guided(SMALL))

    practice.say("pause")
    assert practice.talk.state is State.PAUSED
    practice.hear("carry on", FAINT)
    assert practice.talk.state is State.PAUSED
    practice.say("stop")
    assert practice.talk.state is State.OVER


def test_a_hint_is_given_and_the_question_stays() -> None:
    """In a call as in recall."""
    recall = Practice(NextPoint(SMALL, zones=["cab"]))
    call = Practice(TwoCalls())

    assert "a test from the seat" in recall.say("help")
    assert "What do you look at first?" in recall.say("repeat")
    assert "no scratch. A crack." in call.say("help")


def test_sound_that_comes_back_finds_the_question_again() -> None:
    """What was not said is said, what was kept stays kept."""
    practice = Practice(NextPoint(SMALL, zones=["cab"]))
    practice.say("horn")
    turn = practice.turn

    [notice] = practice.talk.device_lost("unplugged", played=len(turn.steps))
    practice.turn = practice.talk.device_back()

    assert isinstance(notice, Notice) and notice.kind == "device_lost"
    assert "Sound is back. Next?" in practice.spoken
    assert practice.turn.then == turn.then


def test_noise_is_told_once_each_way() -> None:
    """What is said about it comes first in the next turn."""
    practice = Practice(NextPoint(SMALL, zones=["cab"]))
    loud = Change(
        too_loud=True, snr_db=0.0, noise=90.0, unit="dB", advice=Advice.STEADY
    )

    practice.talk.loudness_changed(loud)

    assert practice.say("horn").startswith("Too loud here.")
    assert not practice.say("camera").startswith("Too loud")


def test_practice_takes_no_notes_and_hears_nothing_after_its_end() -> None:
    """Mistakes of a runner are errors."""
    practice = Practice(Guided(SMALL, zones=["cab"]))
    with pytest.raises(LearnError, match="notes"):
        practice.talk.note_recorded("", 0.0)
    practice.say("next", "next")

    with pytest.raises(LearnError, match="does not listen"):
        practice.silence()


@given(st.data())
def test_nothing_is_kept_that_was_not_surely_said(data: st.DataObject) -> None:
    """However silence, noise and faint words fall, they leave no event."""
    sessions: list[Session] = [Guided(SMALL), NextPoint(SMALL), TwoCalls()]
    practice = Practice(data.draw(st.sampled_from(sessions)))
    for _ in range(data.draw(st.integers(1, 12))):
        then = practice.turn.then
        assert isinstance(then, Listen)
        match data.draw(st.sampled_from(["silence", "noise", "faint"])):
            case "silence":
                practice.silence()
            case "noise":
                practice.take(())
            case _:
                phrase = data.draw(st.sampled_from(then.active.phrases))
                practice.hear(phrase.text, FAINT)

    assert practice.kept == []
