"""Words that steer: each of them, in every state."""

from __future__ import annotations

import pytest

from voicecheck.dialogue.machine import State
from voicecheck.dialogue.turns import RecordNote
from voicecheck.round import answers as an
from voicecheck.round import events as ev
from voicecheck.round.walk import Phase
from voicecheck.testing.scripted_talk import talk_at


def test_help_explains_the_point_and_what_may_be_said() -> None:
    """Then the question again."""
    talk = talk_at("left_wheel")

    talk.say("help")

    assert talk.texts == [
        "Look at the left wheel. Wrong is: It looks wrong. "
        "You can say: good, defect, leak, cannot check.",
        "left wheel?",
    ]


@pytest.mark.parametrize(
    ("phrases", "helped"),
    [
        (["skip"], "You can say: no access, too dark"),
        (["leak"], "Look at the leaks below. Wrong is: It looks wrong. You can say"),
        (["leak", "class one"], "You can say: yes, no."),
        (["stop"], "You can say: yes, no."),
    ],
    ids=["skipping", "probing", "confirming", "doubt"],
)
def test_help_names_the_choices_in_every_state(phrases: list[str], helped: str) -> None:
    """And the question at hand comes again, whatever it is."""
    talk = talk_at("leaks_below")
    talk.say_all(*phrases)
    question = talk.prompt

    talk.say("help")

    assert talk.texts[0].startswith(helped)
    assert talk.prompt == question


def test_help_at_a_climb_and_at_the_declaration() -> None:
    """There too it names what may be said."""
    talk = talk_at("climb")
    talk.say("help")
    assert talk.texts == ["You can say: feet down.", "Say feet down when you stand."]

    talk.walk_to("declaration")
    talk.say("help")

    assert talk.texts[0] == "You can say: yes, no."


def test_repeat_says_only_the_question_at_hand() -> None:
    """A follow-up, a read-back, a reason, a climb: each in its own words."""
    talk = talk_at("left_wheel")
    for phrase, prompt in (
        ("defect", "Defect. What kind?"),
        ("loose", "Loose. Minor, major or critical?"),
        ("major", "left wheel: defect, loose, major. Right?"),
    ):
        talk.say(phrase)
        talk.say("repeat")
        assert talk.texts == [prompt]


def test_how_many_left_counts_open_points() -> None:
    """Then the question again; no question is lost over it."""
    talk = talk_at("left_wheel")
    talk.say("defect")

    talk.say("how many left")

    assert talk.texts == ["6 points left.", "Defect. What kind?"]


def test_harmless_words_are_obeyed_in_doubt() -> None:
    """Repeat, help and how many left cost one answer; a faint guess is not enough."""
    talk = talk_at("left_wheel")

    talk.say("repeat", 0.9)
    assert talk.texts == ["left wheel?"]

    talk.say("repeat", 0.5)
    assert talk.texts != ["left wheel?"]


# ---- skip ------------------------------------------------------------------


def test_a_skipped_point_comes_back_at_the_end() -> None:
    """With its reason kept, announced as returning, and asked as for the first
    time."""
    talk = talk_at("left_wheel")
    talk.say("skip")
    assert talk.texts == ["Skip. Why?"]

    talk.say("too dark")

    assert talk.texts == ["Skipped. It comes back at the end.", "leaks below?"]
    assert talk.kept[-1] == ev.CheckpointSkipped(
        checkpoint_id="left_wheel", reason=an.Reason.TOO_DARK
    )
    assert talk.notices("skipped") == [
        {"checkpoint": "left_wheel", "reason": "too_dark"}
    ]
    talk.walk_to("left_wheel")
    assert talk.texts == [
        "Back to a point that was skipped. left side.",
        "left wheel?",
    ]
    talk.walk_to("declaration")
    assert list(talk.answers)[-1] == "left_wheel"


def test_a_point_that_was_skipped_last_comes_back_at_once_and_fresh() -> None:
    """Tries and refused words of the first visit are gone."""
    talk = talk_at("camera")
    talk.say_doubtfully("good")
    talk.say_all("no", "skip", "too dark")

    assert talk.texts == [
        "Skipped. It comes back at the end.",
        "Back to a point that was skipped. cab.",
        "camera?",
    ]
    talk.say("good")
    assert talk.answers["camera"] == an.Good()
    assert talk.how().tries == 1


def test_a_point_is_skipped_only_once() -> None:
    """The second time it says what else may be said."""
    talk = talk_at("left_wheel")
    talk.say_all("skip", "too dark")
    talk.walk_to("left_wheel")

    talk.say("skip")

    assert talk.texts == [
        "This was skipped before. Say what you see, or cannot check.",
        "left wheel?",
    ]
    talk.say_all("cannot check", "too dark", "yes")
    assert talk.at == "declaration"


def test_a_start_check_cannot_be_skipped() -> None:
    """It is answered before anything else."""
    talk = talk_at("parked")

    talk.say("skip")

    assert talk.texts == ["This cannot be skipped.", "parked?"]


def test_skip_again_asks_for_the_reason_again() -> None:
    """Nothing is skipped without one."""
    talk = talk_at("left_wheel")

    talk.say_all("skip", "skip")

    assert talk.texts == ["Skip. Why?"]
    talk.say("too dark", 0.3)
    assert talk.question == "reason"
    assert talk.session.walk.skipped == {}


# ---- note, pause, stop -----------------------------------------------------


def test_a_note_is_kept_for_the_point_at_hand() -> None:
    """Then the question goes on where it was."""
    talk = talk_at("left_wheel")
    talk.say("defect")

    talk.say("make a note")
    assert talk.texts == ["Say the note after the tone."]
    assert isinstance(talk.turn.then, RecordNote)
    assert talk.turn.then.checkpoint_id == "left_wheel"
    talk.note("cd" * 32)

    assert talk.texts == ["Note kept.", "Defect. What kind?"]
    assert talk.kept[-1] == ev.NoteKept(
        checkpoint_id="left_wheel", clip_sha256="cd" * 32, seconds=2.0
    )


def test_an_empty_note_is_none() -> None:
    """Nobody spoke: nothing is kept."""
    talk = talk_at("left_wheel")
    talk.say("make a note")
    kept = talk.kept

    talk.note("")

    assert talk.texts == ["No note heard.", "left wheel?"]
    assert talk.kept == kept


@pytest.mark.parametrize(
    ("point", "phrases", "question"),
    [
        ("left_wheel", [], "left wheel?"),
        ("left_wheel", ["defect"], "Defect. What kind?"),
        ("left_wheel", ["defect", "skip"], "Skip. Why?"),
        ("climb", [], "Say feet down when you stand."),
    ],
    ids=["fresh", "probing", "skipping", "climbing"],
)
def test_a_pause_keeps_the_question_at_hand(
    point: str, phrases: list[str], question: str
) -> None:
    """After "carry on" exactly that is asked again."""
    talk = talk_at(point)
    talk.say_all(*phrases)
    talk.say("pause")
    assert talk.texts == ["Paused. Say carry on when you are ready."]
    assert talk.session.walk.paused
    assert talk.conversation.state is State.PAUSED

    talk.say("carry on")

    assert talk.texts == ["Carrying on.", question]
    assert not talk.session.walk.paused
    assert talk.notices("resumed") == [{}]


def test_a_paused_walk_waits_without_end_and_without_a_word() -> None:
    """Neither silence nor talk nearby is answered or kept."""
    talk = talk_at("left_wheel")
    talk.say("pause")
    entries = len(talk.entries)

    for _ in range(5):
        talk.silence()
        assert talk.texts == []
        talk.chatter()
        assert talk.texts == []

    assert len(talk.entries) == entries
    assert talk.question == "paused"


def test_a_doubtful_carry_on_is_answered() -> None:
    """The operator hears that the walk still waits."""
    talk = talk_at("left_wheel")
    talk.say("pause")

    talk.say_doubtfully("carry on")

    assert talk.texts == ["Waiting. Say carry on."]
    assert talk.session.walk.paused


def test_stop_is_always_read_back() -> None:
    """However surely it was heard; then the walk is over and nothing is released."""
    talk = talk_at("left_wheel")
    talk.say("stop")
    assert talk.texts == ["End the walk here, unfinished?"]
    assert not talk.session.walk.over

    talk.say("yes")

    assert talk.texts[:2] == [
        "The walk is ended, unfinished. The machine is not released.",
        "Out of service. Do not use the machine.",
    ]
    assert talk.session.walk.phase is Phase.STOPPED
    assert talk.session.walk.stop_reason == "operator"
    assert talk.question == ""


def test_a_stop_that_was_not_meant_goes_on() -> None:
    """With the parts heard so far."""
    talk = talk_at("left_wheel")
    talk.say("defect")

    talk.say_all("stop", "no")

    assert talk.texts == ["Defect. What kind?"]
    assert not talk.session.walk.over


def test_a_stop_needs_a_sure_yes() -> None:
    """A doubtful one is asked again."""
    talk = talk_at("left_wheel")
    talk.say("stop")

    talk.say_doubtfully("yes")

    assert talk.prompt == "Yes or no?"
    assert not talk.session.walk.over


def test_during_a_climb_no_doubt_is_asked_about() -> None:
    """A word that was not heard well is not obeyed, and no question is put to
    somebody on a ladder."""
    talk = talk_at("climb")

    talk.say_doubtfully("go back")

    assert talk.texts == ["I wait. Say feet down."]
    assert "leaks_below" in talk.answers


def test_stop_and_pause_during_a_climb() -> None:
    """Both are there; after no the climb is waited for again."""
    talk = talk_at("climb")

    talk.say_all("stop", "no")

    assert talk.texts == ["Say feet down when you stand."]
    talk.say_all("pause", "carry on", "feet down")
    assert talk.at == "engine_oil"
