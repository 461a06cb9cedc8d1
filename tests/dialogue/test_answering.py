"""Parts, read-backs, and when an answer is kept."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from voicecheck.dialogue.conversation import DialogueSettings
from voicecheck.dialogue.turns import Say, SayKind
from voicecheck.round import answers as an
from voicecheck.round.walk import Phase
from voicecheck.testing.scripted_talk import ScriptedTalk, talk_at
from voicecheck.testing.small_checklist import small_checklist


def test_a_confident_good_is_said_back_as_the_next_prompt_begins() -> None:
    """No question between; the answer is kept with how it came in."""
    talk = talk_at("left_wheel")

    talk.say("good", after_s=3.0)

    assert talk.texts == ["Good.", "leaks below?"]
    kinds = [step.kind for step in talk.turn.steps if isinstance(step, Say)]
    assert kinds == [SayKind.READBACK, SayKind.PROMPT]
    assert talk.answers["left_wheel"] == an.Good()
    how = talk.how()
    assert (how.confirmed_by, how.mode, how.words) == ("implicit", "spoken", ("good",))
    assert how.tries == 1
    assert how.after_prompt_s == pytest.approx(3.5)
    assert talk.notices("answer") == [
        {
            "checkpoint": "left_wheel",
            "value": {"answer": "good"},
            "confirmed": "implicit",
            "too_fast": False,
        }
    ]


@pytest.mark.parametrize(
    ("point", "phrases", "readback", "answer"),
    [
        (
            "left_wheel",
            ["defect", "loose", "major"],
            "left wheel: defect, loose, major. Right?",
            an.Defect(fault=an.Fault.LOOSE, severity=an.Severity.MAJOR),
        ),
        (
            "leaks_below",
            ["leak", "class two"],
            "leaks below: leak, fuel, class two. Right?",
            an.Leak(fluid="fuel", leak_class=an.LeakClass.TWO),
        ),
        (
            "horn",
            ["leak", "engine oil", "class one"],
            "horn: leak, engine oil, class one. Right?",
            an.Leak(fluid="engine_oil", leak_class=an.LeakClass.ONE),
        ),
        (
            "horn",
            ["cannot check", "too dark"],
            "horn: could not check, too dark. Right?",
            an.CouldNotCheck(reason=an.Reason.TOO_DARK),
        ),
        ("belts", ["not fitted"], "belts: not fitted. Right?", an.NotFitted()),
        (
            "engine_oil",
            ["low"],
            "engine oil: low. Right?",
            an.LevelSeen(level=an.Level.LOW),
        ),
        (
            "left_tyre",
            ["four two five"],
            "left tyre: four two five kilopascals. Right?",
            an.ReadingTaken(value=Decimal(425)),
        ),
    ],
    ids=["defect", "leak", "fluid", "not checked", "not fitted", "low", "reading"],
)
def test_findings_readings_and_absences_wait_for_a_yes(
    point: str, phrases: list[str], readback: str, answer: an.Answer
) -> None:
    """The whole answer is read back; nothing is kept before the yes."""
    talk = talk_at(point)

    talk.say_all(*phrases)

    assert talk.prompt == readback
    assert point not in talk.answers
    talk.say("yes")
    assert talk.answers[point] == answer
    assert talk.how().confirmed_by == "explicit"
    assert talk.how().words == tuple(phrases)
    assert talk.how().tries == len(phrases) + 1


def test_each_part_of_a_finding_is_said_back_by_the_next_question() -> None:
    """Defect, kind, how bad: each heard part opens the next prompt."""
    talk = talk_at("left_wheel")
    prompts = []
    for phrase in ("defect", "loose", "major"):
        talk.say(phrase)
        prompts.append(talk.prompt)

    assert prompts[:2] == ["Defect. What kind?", "Loose. Minor, major or critical?"]


def test_a_doubtful_good_waits_for_a_yes() -> None:
    """What is not sure enough to be taken is read back."""
    talk = talk_at("left_wheel")

    talk.say_doubtfully("good")

    assert talk.prompt == "left wheel: good. Right?"
    assert "left_wheel" not in talk.answers
    talk.say("yes")
    assert talk.how().confirmed_by == "explicit"
    assert talk.how().confidence < 0.99


def test_a_good_that_sounded_like_a_defect_is_not_taken() -> None:
    """A finding as runner-up is enough for a read-back."""
    talk = talk_at("left_wheel")

    talk.say("good", 0.99, ("defect", 0.01))

    assert talk.prompt == "left wheel: good. Right?"


def test_no_to_a_read_back_asks_again_and_keeps_nothing() -> None:
    """The refused word alone is not taken a second time without a yes."""
    talk = talk_at("left_wheel")

    talk.say_all("defect", "loose", "major", "no")

    assert talk.texts == ["Not taken.", "left wheel?"]
    assert "left_wheel" not in talk.answers
    talk.say("good")
    assert talk.answers["left_wheel"] == an.Good()
    assert talk.how().words == ("good",)


def test_a_refused_good_is_read_back_however_surely_it_comes_again() -> None:
    """It is not locked out: a yes confirms it."""
    talk = talk_at("left_wheel")
    talk.say_doubtfully("good")
    talk.say_all("no", "good")

    assert talk.prompt == "left wheel: good. Right?"
    talk.say("yes")
    assert talk.answers["left_wheel"] == an.Good()


def test_a_detail_that_is_misheard_again_and_again_gives_way() -> None:
    """Each no takes belief from the least sure part, until the next best is read
    back instead: what was said is found, though it is always heard as another."""
    talk = talk_at("leaks_below")
    offered = []
    while "leaks_below" not in talk.answers:
        talk.say("leak")
        talk.say("class three", 0.9, ("class two", 0.06))
        assert talk.question == "yes_no"
        offered.append("class two" in (talk.prompt or "").lower())
        assert len(offered) < 5
        talk.say("yes" if offered[-1] else "no")

    assert offered[0] is False
    answer = talk.answers["leaks_below"]
    assert isinstance(answer, an.Leak)
    assert answer.leak_class is an.LeakClass.TWO


def test_a_refused_yes_to_a_start_check_can_still_be_confirmed() -> None:
    """What was refused as an answer counts in full as a yes to a read-back."""
    talk = talk_at("parked")
    talk.say_doubtfully("yes")
    talk.say_all("no", "yes")
    assert talk.prompt == "parked: yes. Right?"

    talk.say("yes")

    assert talk.answers["parked"] == an.Yes()


def test_what_was_refused_is_forgotten_at_the_next_point() -> None:
    """A no to "good" here says nothing about "good" there."""
    talk = talk_at("left_wheel")
    talk.say_doubtfully("good")
    talk.say_all("no", "good", "yes")
    assert talk.at == "leaks_below"

    talk.say("good")

    assert talk.answers["leaks_below"] == an.Good()


def test_a_doubtful_no_to_a_read_back_is_a_no() -> None:
    """That is the safe side; a doubtful yes is nothing."""
    talk = talk_at("belts")
    talk.say("not fitted")
    talk.say_doubtfully("yes")
    assert talk.prompt == "Yes or no?"
    assert "belts" not in talk.answers

    talk.say("no", 0.7)

    assert talk.texts == ["Not taken.", "belts?"]


def test_confirm_always_reads_every_answer_back() -> None:
    """Also a good and a yes that were heard beyond doubt."""
    talk = ScriptedTalk(settings=DialogueSettings(confirm_always=True))
    while talk.question:
        talk.usual()

    hows = [entry.how for entry in talk.entries if entry.how is not None]
    assert len(hows) == 10
    assert {how.confirmed_by for how in hows} == {"explicit"}


def test_no_to_a_start_check_is_read_back_and_then_stops_the_walk() -> None:
    """With the reason, and the machine out of service."""
    talk = talk_at("nobody_near")
    talk.say("no")
    assert talk.prompt == "nobody near: no. Right?"
    assert not talk.session.walk.over

    talk.say("yes")

    assert talk.texts[:2] == [
        "Stop. Clear the area first.",
        "Out of service. Do not use the machine.",
    ]
    assert talk.session.walk.phase is Phase.STOPPED
    assert talk.notices("decision")[0]["outcome"] == "out_of_service"
    assert talk.question == ""


def test_a_misheard_no_to_a_start_check_goes_on() -> None:
    """The read-back is the second thought."""
    talk = talk_at("nobody_near")

    talk.say_all("no", "no", "yes")

    assert talk.answers["nobody_near"] == an.Yes()


@pytest.mark.parametrize(
    ("phrase", "says"),
    [
        (
            "nine nine nine nine",
            "nine nine nine nine kilopascals cannot be. It must be from 0 to 1000.",
        ),
        (
            "four five zero point five",
            "four five zero point five. Say at most 0 digits after the point.",
        ),
    ],
)
def test_a_reading_that_cannot_be_is_not_taken(phrase: str, says: str) -> None:
    """It is said why, and asked again; after two, digit by digit."""
    talk = talk_at("left_tyre")

    talk.say(phrase)

    assert talk.texts == [says, "left tyre?"]
    talk.say(phrase)
    assert talk.texts == [says, "One digit at a time. First digit?"]
    assert talk.observed == ["implausible"] * 2
    assert "left_tyre" not in talk.answers


@pytest.mark.parametrize(
    ("after_s", "too_fast"), [(0.1, True), (0.3, True), (0.6, False), (5.0, False)]
)
def test_a_good_faster_than_a_look_is_kept_and_flagged(
    after_s: float, too_fast: bool
) -> None:
    """The least time to look is one second from the beginning of the prompt, which
    takes half a second to say."""
    talk = talk_at("left_wheel")

    talk.say("good", after_s=after_s)

    assert talk.answers["left_wheel"] == an.Good()
    assert talk.how().too_fast is too_fast
    assert talk.notices("answer")[0]["too_fast"] is too_fast


def test_a_quick_answer_to_a_re_prompt_is_not_too_fast() -> None:
    """The time to look counts from the first prompt of the point."""
    talk = talk_at("left_wheel")
    talk.silence()

    talk.say("good", after_s=0.1)

    assert not talk.how().too_fast
    assert talk.how().after_prompt_s == pytest.approx(13.0 + 0.5 + 0.5 + 0.1)


def test_a_quick_defect_is_not_flagged() -> None:
    """What is seen at once is seen."""
    talk = talk_at("left_wheel")
    talk.say("defect", after_s=0.1)
    talk.say_all("loose", "major", "yes")

    assert not talk.how().too_fast


def test_what_a_broken_checklist_cannot_take_is_refused() -> None:
    """A leak where there are no fluids, a number where there is no unit: asked
    again, never kept, never a crash."""
    dry = replace(small_checklist(), fluids=())
    horn = talk_at("horn", checklist=dry)
    horn.say_all("leak", "class one")
    assert horn.texts == ["Not taken.", "horn?"]

    zones = tuple(
        replace(
            zone, checkpoints=tuple(replace(p, reading=None) for p in zone.checkpoints)
        )
        for zone in small_checklist().zones
    )
    meter = ScriptedTalk(replace(small_checklist(), zones=zones))
    meter.say("four five zero")

    assert meter.texts == ["Not taken.", "hour meter?"]
    assert meter.answers == {}
