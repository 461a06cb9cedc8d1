"""Go back and correction: exactly the last thing said is taken back."""

from __future__ import annotations

import pytest

from voicecheck.round import answers as an
from voicecheck.testing.scripted_talk import ScriptedTalk, talk_at


def test_go_back_takes_the_last_answer_back() -> None:
    """A wrong "good" is taken back with one word, and exactly that one."""
    talk = talk_at("left_wheel")
    talk.say("good")

    talk.say("go back")

    assert talk.texts == ["Taken back: left wheel.", "left wheel?"]
    assert talk.notices("withdrawn") == [{"checkpoint": "left_wheel"}]
    assert list(talk.answers)[-1] == "left_tyre"
    talk.say_all("defect", "loose", "major", "yes")
    assert isinstance(talk.answers["left_wheel"], an.Defect)


def test_go_back_twice_takes_two_answers_back() -> None:
    """Step by step, the newest first."""
    talk = talk_at("leaks_below")

    talk.say_all("go back", "go back")

    assert talk.texts == ["Taken back: left tyre.", "left tyre?"]


def test_there_is_nothing_to_take_back_at_the_first_question() -> None:
    """It says so and asks on."""
    talk = ScriptedTalk()

    talk.say("go back")

    assert talk.texts == ["There is nothing to take back.", "hour meter?"]
    assert talk.kept == []


@pytest.mark.parametrize(
    "phrases", [["defect"], ["defect", "loose"], ["defect", "loose", "major"]]
)
def test_go_back_mid_answer_forgets_the_parts_only(phrases: list[str]) -> None:
    """The point begins anew; the answer before it stays."""
    talk = talk_at("left_wheel")
    talk.say_all(*phrases)

    talk.say("go back")

    assert talk.texts == ["Not taken.", "left wheel?"]
    assert list(talk.answers)[-1] == "left_tyre"


def test_go_back_while_skipping_returns_to_the_question() -> None:
    """With what was heard of the answer so far."""
    talk = talk_at("left_wheel")
    talk.say_all("defect", "skip")
    assert talk.prompt == "Skip. Why?"

    talk.say("go back")

    assert talk.texts == ["Not taken.", "Defect. What kind?"]
    assert talk.session.walk.skipped == {}


def test_go_back_across_a_change_of_zone() -> None:
    """The zone before is announced again."""
    talk = talk_at("left_tyre")

    talk.say("go back")

    assert talk.texts == ["Taken back: nobody near.", "approach.", "nobody near?"]


def test_go_back_during_a_climb_takes_the_answer_before_it_back() -> None:
    """The "good" whose read-back is the beginning of the climb prompt."""
    talk = talk_at("leaks_below")
    talk.say("good")
    assert talk.texts[0] == "Good."
    assert talk.at == "climb"

    talk.say("go back")

    assert talk.texts == ["Taken back: leaks below.", "left side.", "leaks below?"]


def test_go_back_right_after_a_climb_climbs_back() -> None:
    """Nothing is asked until both feet are down there."""
    talk = talk_at("engine_oil")

    talk.say("go back")

    assert talk.texts == [
        "Taken back: leaks below.",
        "left side.",
        "Say feet down when you stand.",
    ]
    talk.say("feet down")
    assert talk.at == "leaks_below"
    talk.walk_to("declaration")
    assert len(talk.answers) == 10


def test_go_back_at_the_declaration_asks_the_last_point_again() -> None:
    """Then the summary comes anew."""
    talk = talk_at("declaration")

    talk.say("go back")

    assert talk.texts == ["Taken back: camera.", "camera?"]
    talk.say_all("defect", "broken", "minor", "yes")
    assert "One finding." in talk.texts


def test_go_back_after_a_skip_undoes_the_skip_before_any_answer() -> None:
    """The point is asked now; a second word takes the older answer."""
    talk = talk_at("left_wheel")
    talk.say_all("skip", "too dark")

    talk.say("go back")
    assert talk.texts == ["Taken back: left wheel.", "left wheel?"]
    assert talk.notices("withdrawn") == [{"checkpoint": "left_wheel"}]
    assert talk.session.walk.skipped == {}
    assert "left_tyre" in talk.answers
    talk.say("go back")

    assert talk.texts == ["Taken back: left tyre.", "left tyre?"]


def test_skips_in_a_row_are_undone_in_turn_and_may_be_made_again() -> None:
    """The newest first; a point whose skip was undone can be skipped once more."""
    talk = talk_at("left_wheel")
    talk.say_all("skip", "too dark", "skip", "no access")
    assert list(talk.session.walk.skipped) == ["left_wheel", "leaks_below"]

    talk.say_all("go back", "go back")

    assert talk.at == "left_wheel"
    assert talk.session.walk.skipped == {}
    talk.say_all("skip", "too hot")
    assert list(talk.session.walk.skipped) == ["left_wheel"]
    talk.walk_to("declaration")
    assert "left_wheel" in talk.answers


def test_a_skip_is_undone_after_a_restart_too() -> None:
    """The walk knows what came last, not the conversation."""
    before = talk_at("left_wheel")
    before.say_all("skip", "too dark")

    talk = ScriptedTalk(before=before)
    talk.say("go back")

    assert talk.at == "left_wheel"
    assert talk.session.walk.skipped == {}


def test_an_answer_comes_before_an_older_skip() -> None:
    """Exactly the last thing said is taken back."""
    talk = talk_at("left_wheel")
    talk.say_all("skip", "too dark", "good", "go back")

    assert "leaks_below" not in talk.answers
    assert list(talk.session.walk.skipped) == ["left_wheel"]


def test_a_doubtful_go_back_is_read_back_and_refused_without_a_trace() -> None:
    """The parts heard so far stay, and no meaning is held against the operator."""
    talk = talk_at("left_wheel")
    talk.say("defect")
    talk.say_doubtfully("go back")
    assert talk.texts == ["Did you say go back?"]

    talk.say("no")

    assert talk.texts == ["Defect. What kind?"]
    talk.say_all("loose", "major")
    assert talk.prompt == "left wheel: defect, loose, major. Right?"


def test_a_doubtful_go_back_refused_at_a_fresh_point_lets_good_through() -> None:
    """The "no" was about the control word, not about "good"."""
    talk = talk_at("left_wheel")
    talk.say_doubtfully("go back")
    talk.say_all("no", "good")

    assert talk.answers["left_wheel"] == an.Good()


def test_a_doubtful_go_back_is_obeyed_after_yes() -> None:
    """As if it had been heard well."""
    talk = talk_at("leaks_below")
    talk.say_doubtfully("go back")

    talk.say("yes")

    assert talk.texts == ["Taken back: left wheel.", "left wheel?"]


def test_go_back_at_a_doubt_means_no() -> None:
    """ "Did you say skip?" "Correction." """
    talk = talk_at("left_wheel")
    talk.say_doubtfully("skip")

    talk.say("correction")

    assert talk.texts == ["left wheel?"]
    assert "left_tyre" in talk.answers


def test_go_back_at_a_read_back_means_no_however_faint() -> None:
    """The safe side needs no certainty."""
    talk = talk_at("belts")
    talk.say("not fitted")

    talk.say_doubtfully("go back")

    assert talk.texts == ["Not taken.", "belts?"]


def test_an_unanswered_doubt_is_dropped_by_the_pause() -> None:
    """After carrying on the question at hand comes, with its parts."""
    talk = talk_at("left_wheel")
    talk.say("defect")
    talk.say_doubtfully("skip")
    for _ in range(3):
        talk.silence()
    assert talk.question == "paused"

    talk.say("carry on")

    assert talk.prompt == "Defect. What kind?"
    assert not talk.session.walk.paused
