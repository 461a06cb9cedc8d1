"""The spoken walk as a whole: from the first word to the last, with breaks."""

from __future__ import annotations

import pytest

from voicecheck.dialogue.machine import State
from voicecheck.dialogue.turns import RecordNote
from voicecheck.errors import WalkError
from voicecheck.round import answers as an
from voicecheck.round import events as ev
from voicecheck.round.walk import Phase
from voicecheck.testing.scripted_talk import ScriptedTalk, talk_at


def test_a_walk_without_findings_from_beginning_to_end() -> None:
    """Everything that is said, in order, and nothing else."""
    talk = ScriptedTalk()
    script = list(talk.texts)
    while talk.question:
        talk.usual()
        script += talk.texts

    assert script == [
        "Walkaround of L-12. 10 points. Say help at any time.",
        "The machine's manual and a competent person come first.",
        "approach.",
        "hour meter?",
        "hour meter: four five zero hours. Right?",
        "parked?",
        "Yes.",
        "nobody near?",
        "Yes.",
        "left side.",
        "left tyre?",
        "left tyre: four five zero kilopascals. Right?",
        "left wheel?",
        "Good.",
        "leaks below?",
        "Good.",
        "engine.",
        "Say feet down when you stand.",
        "engine oil?",
        "Full.",
        "belts?",
        "Good.",
        "cab.",
        "Say feet down when you stand.",
        "horn?",
        "Good.",
        "camera?",
        "Good.",
        "No findings.",
        "The machine may work.",
        "The manual of the machine, local law, the rules of the site and a competent "
        "person come first.",
        "I looked at every point myself. Do you sign this?",
        "Signed. Thank you.",
    ]
    assert talk.session.walk.phase is Phase.SIGNED
    assert talk.conversation.state is State.OVER
    assert talk.conversation.language == "en"


# ---- sound lost and back -----------------------------------------------------

STATES = {
    "fresh": ("left_wheel", []),
    "probing": ("left_wheel", ["defect"]),
    "skipping": ("left_wheel", ["skip"]),
    "confirming": ("left_wheel", ["defect", "loose", "major"]),
    "doubt": ("left_wheel", ["stop"]),
    "climbing": ("climb", []),
    "declaring": ("declaration", []),
    "declaring again": ("declaration", ["no"]),
    "noting": ("left_wheel", ["make a note"]),
    "paused": ("left_wheel", ["pause"]),
}


@pytest.mark.parametrize("state", STATES)
def test_a_lost_device_pauses_the_walk_and_the_question_comes_again(state: str) -> None:
    """In every state: nothing is confirmed by it, and the same is waited for."""
    point, phrases = STATES[state]
    talk = talk_at(point)
    talk.say_all(*phrases)
    before, answers, question = talk.turn.then, dict(talk.answers), talk.prompt
    at = talk.conversation.state

    talk.lose_device()
    assert talk.session.walk.paused
    talk.replug()

    assert talk.texts[0] == "Sound is back."
    expected = "Waiting. Say carry on." if state == "paused" else question
    assert talk.texts[1:] == [expected]
    assert talk.turn.then == before
    assert talk.conversation.state is at
    assert talk.answers == answers
    assert talk.session.walk.paused is (state == "paused")
    assert talk.observed[-2:] == ["device_lost", "device_back"]


def test_what_was_not_said_when_the_device_went_is_said_when_it_is_back() -> None:
    """So is what was not told: an event is neither lost nor told twice."""
    talk = talk_at("left_wheel")
    talk.say("good")
    told = [type(step).__name__ for step in talk.turn.steps]
    assert told == ["Notice", "Notice", "Signal", "Say", "Say"]

    talk.lose_device(played=1)
    talk.replug()

    assert talk.texts == ["Sound is back.", "Good.", "leaks below?"]
    assert talk.notices("heard") == []
    assert len(talk.notices("answer")) == 1


def test_a_device_lost_again_at_once_loses_nothing() -> None:
    """The turn that says that sound is back is a turn like any other."""
    talk = talk_at("left_wheel")
    talk.say("good")

    talk.lose_device(played=3)
    talk.replug()
    talk.lose_device(played=0)
    talk.replug()

    assert talk.texts == ["Sound is back.", "Sound is back.", "Good.", "leaks below?"]
    assert not talk.session.walk.paused


def test_a_pending_answer_still_needs_its_yes_after_the_device_is_back() -> None:
    """Losing the microphone confirms nothing."""
    talk = talk_at("left_wheel")
    talk.say_all("defect", "loose", "major")
    talk.lose_device()
    talk.replug()
    assert "left_wheel" not in talk.answers

    talk.say("no")

    assert talk.at == "left_wheel"
    assert "left_wheel" not in talk.answers


def test_a_device_lost_after_the_end_does_not_pause_anything() -> None:
    """The walk is over; only the fact is kept."""
    talk = talk_at("declaration")
    talk.say("yes")

    talk.lose_device(played=0)
    talk.replug()

    assert talk.session.walk.phase is Phase.SIGNED
    assert talk.texts == ["Sound is back.", "Signed. Thank you."]
    assert talk.question == ""


# ---- taken up again -------------------------------------------------------------


def test_a_half_done_walk_is_taken_up_where_it_was() -> None:
    """No confirmed answer is lost or asked again; cautions are not read anew."""
    first = talk_at("leaks_below")
    first.say("leak")

    second = ScriptedTalk(before=first)

    assert second.texts == [
        "Carrying on with L-12. 5 points left.",
        "left side.",
        "leaks below?",
    ]
    second.walk_to("declaration")
    second.say("yes")
    assert second.session.walk.phase is Phase.SIGNED
    answers = [e for e in second.kept if isinstance(e, ev.AnswerConfirmed)]
    assert len(answers) == 10


def test_an_answer_that_had_no_yes_is_asked_again_after_a_restart() -> None:
    """What was only read back was never confirmed."""
    first = talk_at("left_wheel")
    first.say_all("defect", "loose", "major")

    second = ScriptedTalk(before=first)

    assert second.prompt == "left wheel?"
    assert "left_wheel" not in second.answers


@pytest.mark.parametrize("lost", [False, True], ids=["paused", "device lost"])
def test_a_paused_walk_is_taken_up_without_a_word(lost: bool) -> None:
    """Starting the program again is to carry on."""
    first = talk_at("left_wheel")
    if lost:
        first.lose_device()
    else:
        first.say("pause")

    second = ScriptedTalk(before=first)

    assert not second.session.walk.paused
    assert second.prompt == "left wheel?"
    second.say("good")
    assert second.answers["left_wheel"] == an.Good()


def test_a_walk_taken_up_before_a_climb_begins_with_it() -> None:
    """The place is known from the journal."""
    second = ScriptedTalk(before=talk_at("climb"))

    assert second.at == "climb"


def test_a_walk_taken_up_at_the_end_reads_the_summary() -> None:
    """Everything was answered; the declaration is left."""
    second = ScriptedTalk(before=talk_at("declaration"))

    assert second.at == "declaration"
    assert "No findings." in second.texts


def test_a_signed_walk_that_is_taken_up_is_over_at_once() -> None:
    """The program died before the record was written."""
    first = talk_at("declaration")
    first.say("yes")

    second = ScriptedTalk(before=first)

    assert second.question == ""
    assert second.conversation.state is State.OVER


# ---- the order of calls -----------------------------------------------------------


def test_nothing_is_heard_when_nothing_is_listened_for() -> None:
    """A runner that plays turns out of order is told so; nothing changes."""
    talk = talk_at("left_wheel")
    talk.say("make a note")
    assert isinstance(talk.turn.then, RecordNote)
    entries = talk.entries

    with pytest.raises(WalkError, match="does not listen"):
        talk.chatter()
    talk.note()
    with pytest.raises(WalkError, match="no note was asked for"):
        talk.note()

    assert len(talk.entries) == len(entries) + 1
