"""A number that failed twice as a whole is asked one digit at a time."""

from __future__ import annotations

from decimal import Decimal

import pytest

from voicecheck.audio.tones import Tone
from voicecheck.dialogue.turns import SayKind, Signal
from voicecheck.round import answers as an
from voicecheck.testing.scripted_talk import ScriptedTalk, talk_at

ONE_BY_ONE = "One digit at a time. First digit?"


def by_digit_at(checkpoint_id: str) -> ScriptedTalk:
    """A talk in which the number of this point was not understood twice."""
    talk = ScriptedTalk()
    while talk.at != checkpoint_id:
        talk.usual()
    talk.chatter()
    talk.chatter()
    return talk


def test_two_that_were_not_understood_lead_to_single_digits() -> None:
    """With the tone of a failure before it, and no third failure to a pause."""
    talk = talk_at("left_tyre")
    talk.chatter()
    assert talk.question == "number"

    talk.chatter()

    assert talk.question == "digit"
    assert talk.texts == [ONE_BY_ONE]
    assert Signal(tone=Tone.NOT_UNDERSTOOD) in talk.turn.steps
    assert talk.listening.checkpoint_id == "left_tyre"
    assert not talk.listening.active.numbers


@pytest.mark.parametrize("no", ["no", "go back"])
def test_two_refused_numbers_lead_to_single_digits(no: str) -> None:
    """However the operator says that the read-back is wrong."""
    talk = talk_at("left_tyre")

    talk.say_all("four five nine", no)
    assert talk.texts == ["Not taken.", "left tyre?"]
    talk.say_all("four nine zero", no)

    assert talk.texts == ["Not taken.", ONE_BY_ONE]


def test_silence_is_no_failed_number() -> None:
    """Whoever says nothing is asked for the whole number again."""
    talk = talk_at("left_tyre")
    talk.silence()
    talk.silence()

    assert talk.question == "number"
    talk.say("four five zero")
    assert talk.question == "yes_no"


def test_digits_are_echoed_and_the_whole_is_read_back() -> None:
    """Only a yes to the whole number keeps it."""
    talk = by_digit_at("hour_meter")

    talk.say("four")
    assert talk.texts == ["Four. Next?"]
    talk.say_all("five", "two", "seven", "point")
    assert talk.texts == ["Point. Next?"]
    assert "hour_meter" not in talk.answers
    talk.say("three")

    assert talk.prompt == "hour meter: four five two seven point three hours. Right?"
    assert talk.turn.steps[-1].kind is SayKind.READBACK  # type: ignore[union-attr]
    talk.say("yes")
    assert talk.answers["hour_meter"] == an.ReadingTaken(value=Decimal("4527.3"))
    assert talk.how().confirmed_by == "explicit"
    assert talk.how().words == ("four", "five", "two", "seven", "point", "three")


def test_finished_ends_a_number_that_could_go_on() -> None:
    """The end is said, not guessed from a silence."""
    talk = by_digit_at("hour_meter")

    talk.say_all("nine", "finished")

    assert talk.prompt == "hour meter: nine hours. Right?"


def test_a_number_ends_by_itself_where_nothing_can_follow() -> None:
    """450 kPa: a fourth digit would lie beyond the plausible range of 1000."""
    talk = by_digit_at("left_tyre")

    talk.say_all("four", "five", "zero")

    assert talk.prompt == "left tyre: four five zero kilopascals. Right?"


def test_only_what_can_follow_may_be_said() -> None:
    """No end before a digit, no second point, no point where none is read."""
    talk = by_digit_at("hour_meter")
    sayable: list[set[str]] = []
    for phrase in ("four", "point"):
        sayable.append({p.meaning for p in talk.listening.active.phrases})
        talk.say(phrase)
    sayable.append({p.meaning for p in talk.listening.active.phrases})

    fresh, after_digit, after_point = sayable
    assert not {"finished", "point"} & fresh
    assert {"finished", "point", "0"} <= after_digit
    assert not {"finished", "point"} & after_point
    kpa = by_digit_at("left_tyre")
    kpa.say("four")
    assert "point" not in {p.meaning for p in kpa.listening.active.phrases}


def test_go_back_takes_the_last_digit_back() -> None:
    """One wrong digit does not cost the others."""
    talk = by_digit_at("hour_meter")
    talk.say_all("four", "nine")

    talk.say("go back")

    assert talk.texts == ["Not taken.", "Four. Next?"]
    talk.say_all("five", "finished", "yes")
    assert talk.answers["hour_meter"] == an.ReadingTaken(value=Decimal(45))


def test_a_refused_whole_is_asked_digit_by_digit_again() -> None:
    """From the first digit; what was said before is gone."""
    talk = by_digit_at("left_tyre")
    talk.say_all("four", "five", "nine")

    talk.say("no")

    assert talk.texts == ["Not taken.", ONE_BY_ONE]
    talk.say_all("four", "five", "zero", "yes")
    assert talk.answers["left_tyre"] == an.ReadingTaken(value=Decimal(450))


def test_digits_that_cannot_be_are_not_taken() -> None:
    """The range holds for a number said in digits too."""
    talk = by_digit_at("left_tyre")

    talk.say_all("one", "zero", "zero", "nine")

    assert "cannot be" in talk.texts[0]
    assert talk.prompt == ONE_BY_ONE


def test_a_point_can_still_be_left_unread() -> None:
    """Cannot check, with its reason, also in the middle of a number."""
    talk = by_digit_at("left_tyre")

    talk.say_all("four", "cannot check", "no access", "yes")

    assert isinstance(talk.answers["left_tyre"], an.CouldNotCheck)


def test_three_failures_at_one_digit_put_the_walk_aside() -> None:
    """The digits said so far are kept until it goes on."""
    talk = by_digit_at("left_tyre")
    talk.say_all("four")
    for _ in range(3):
        talk.chatter()
    assert talk.question == "paused"

    talk.say("carry on")

    assert talk.prompt == "Four. Next?"
    talk.say_all("five", "zero", "yes")
    assert talk.answers["left_tyre"] == an.ReadingTaken(value=Decimal(450))


def test_the_choices_name_a_digit_not_all_ten() -> None:
    """A list of ten words helps nobody."""
    talk = by_digit_at("hour_meter")
    talk.say("four")

    talk.say("help")

    assert "You can say: one digit, point, finished, cannot check." in talk.texts[0]


def test_the_next_number_is_asked_as_a_whole_again() -> None:
    """The count belongs to one point."""
    talk = by_digit_at("hour_meter")
    talk.say_all("nine", "finished", "yes")

    talk.walk_to("left_tyre")

    assert talk.question == "number"
