"""Nothing understood: re-prompt, choices, pause; and never an answer."""

from __future__ import annotations

import pytest

from voicecheck.dialogue.turns import Signal
from voicecheck.round import answers as an
from voicecheck.round import events as ev
from voicecheck.testing.scripted_talk import talk_at


def test_silence_escalates_to_a_pause() -> None:
    """A short re-prompt, the choices, then the walk waits."""
    talk = talk_at("left_wheel")
    assert talk.listening.timeout_s == pytest.approx(1.0 + 12.0)

    talk.silence()
    assert talk.texts == ["left wheel?"]
    assert talk.listening.timeout_s == pytest.approx(8.0)
    talk.silence()
    assert talk.texts == [
        "You can say: good, defect, leak, cannot check.",
        "left wheel?",
    ]
    talk.silence()

    assert talk.texts == [
        "Nothing is recorded. The walk waits. Say carry on when you are ready."
    ]
    assert talk.question == "paused"
    assert talk.session.walk.paused
    assert talk.observed == ["noinput"] * 3
    assert talk.kept[-1] == ev.WalkPaused(cause="no_answer")
    assert talk.notices("paused") == [{"cause": "no_answer"}]


def test_chatter_escalates_to_a_pause() -> None:
    """The same, with the tone that says "not understood"."""
    talk = talk_at("left_wheel")

    talk.chatter()
    assert talk.texts == ["Again?", "left wheel?"]
    assert any(isinstance(step, Signal) for step in talk.turn.steps)
    talk.chatter()
    assert talk.texts[0].startswith("You can say: good")
    talk.chatter()

    assert talk.question == "paused"
    assert talk.observed == ["nomatch"] * 3
    assert "left_wheel" not in talk.answers


def test_a_re_prompt_does_not_say_the_last_answer_again() -> None:
    """ "Good." belongs to the point before: repeating it would mislead."""
    talk = talk_at("left_wheel")
    talk.say("good")
    assert talk.texts == ["Good.", "leaks below?"]

    talk.silence()
    assert talk.texts == ["leaks below?"]
    talk.say("repeat")
    assert talk.texts == ["leaks below?"]


def test_a_number_is_explained_at_the_second_failure() -> None:
    """Digit by digit, and what else may be said."""
    talk = talk_at("left_tyre")
    talk.silence()
    talk.silence()

    assert talk.texts[0] == (
        "Say the number digit by digit. You can say: cannot check."
    )


def test_an_understood_word_ends_the_row_of_failures() -> None:
    """Three in a row count, not three in all."""
    talk = talk_at("left_wheel")
    for phrase in ("defect", "loose"):
        talk.silence()
        talk.chatter()
        talk.say(phrase)
    talk.silence()
    talk.silence()

    assert talk.question == "severity"
    talk.say_all("major", "yes")
    assert isinstance(talk.answers["left_wheel"], an.Defect)


def test_help_and_repeat_neither_count_nor_forgive_failures() -> None:
    """The third failure is the third, whatever was asked between."""
    talk = talk_at("left_wheel")
    talk.silence()
    talk.say("help")
    talk.say("repeat")
    talk.silence()
    talk.say("how many left")

    talk.silence()

    assert talk.question == "paused"


def test_three_failures_at_a_read_back_keep_nothing() -> None:
    """Silence is no yes; after the pause the read-back is asked again."""
    talk = talk_at("left_wheel")
    talk.say_all("defect", "loose", "major")
    for _ in range(3):
        talk.silence()
    assert "left_wheel" not in talk.answers

    talk.say("carry on")

    assert talk.texts == ["Carrying on.", "left wheel: defect, loose, major. Right?"]
    assert "left_wheel" not in talk.answers
    talk.say("yes")
    assert isinstance(talk.answers["left_wheel"], an.Defect)


def test_unclear_speech_at_a_read_back_is_asked_for_yes_or_no() -> None:
    """In short first; then with the choices and the whole read-back."""
    talk = talk_at("belts")
    talk.say("not fitted")

    talk.chatter()
    assert talk.texts == ["Yes or no?"]
    talk.chatter()

    assert talk.texts == ["You can say: yes, no.", "belts: not fitted. Right?"]


def test_loud_surroundings_are_mentioned_once() -> None:
    """The first time that speech hardly stands over the noise."""
    talk = talk_at("left_wheel")
    hint = "It is very loud here. Turn away from the noise and speak up."

    talk.hear((), snr_db=1.0)
    assert talk.texts == [hint, "Again?", "left wheel?"]
    talk.hear((), snr_db=1.0)

    assert hint not in talk.texts
    assert talk.observed == ["nomatch", "too_loud", "nomatch"]


def test_sound_without_end_is_not_understood() -> None:
    """Whatever the recogniser makes of it."""
    talk = talk_at("left_wheel")
    good = talk.listening.active.phrase("good")
    assert good is not None

    talk.hear((), too_long=True)

    assert talk.notices("nomatch") == [{"too_long": True}]
    assert talk.notices("heard")[0]["phrase"] is None
