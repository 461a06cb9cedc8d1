"""What is asked, and what is said before it: zones, hazards, climbs, the summary."""

from __future__ import annotations

from dataclasses import replace

import pytest

from voicecheck.dialogue.conversation import DialogueSettings
from voicecheck.dialogue.turns import Say, SayKind
from voicecheck.round.checklist import Checklist
from voicecheck.round.walk import Phase
from voicecheck.testing.scripted_talk import ScriptedTalk, talk_at
from voicecheck.testing.small_checklist import small_checklist

CHECKLIST = small_checklist()


def with_hazards(point_id: str, *hazards: str) -> Checklist:
    """Return the small checklist with cautions at one point."""
    zones = tuple(
        replace(
            zone,
            checkpoints=tuple(
                replace(p, hazards=hazards) if p.id == point_id else p
                for p in zone.checkpoints
            ),
        )
        for zone in CHECKLIST.zones
    )
    return replace(CHECKLIST, zones=zones)


def with_caution(caution: str) -> Checklist:
    """Return the small checklist with a climb caution everywhere."""
    zones = tuple(replace(zone, climb_caution=caution) for zone in CHECKLIST.zones)
    return replace(CHECKLIST, zones=zones)


def test_hazards_are_said_once_before_the_prompt() -> None:
    """Not again at re-prompts, repeats, follow-ups or after a pause."""
    checklist = with_hazards("left_wheel", "It may roll.", "It is hot.")
    talk = talk_at("left_wheel", checklist=checklist)
    assert talk.texts == [
        "Caution. It may roll.",
        "Caution. It is hot.",
        "left wheel?",
    ]
    said: list[str] = []

    talk.silence()
    said += talk.texts
    for phrase in ("repeat", "defect", "go back", "pause", "carry on"):
        talk.say(phrase)
        said += talk.texts

    assert said.count("left wheel?") == 4
    assert not [text for text in said if text.startswith("Caution")]


def test_hazards_are_said_again_when_the_point_comes_back() -> None:
    """A skipped point is looked at much later."""
    talk = talk_at("left_wheel", checklist=with_hazards("left_wheel", "It may roll."))
    talk.say_all("skip", "too dark")

    talk.walk_to("left_wheel")

    assert "Caution. It may roll." in talk.texts


def test_learners_hear_what_to_look_at_and_why() -> None:
    """With the first prompt of each point; re-prompts stay short."""
    talk = talk_at("left_wheel", settings=DialogueSettings(full=True))

    assert talk.texts == [
        "Look at the left wheel. Wrong is: It looks wrong. It matters.",
        "left wheel?",
    ]
    talk.silence()
    assert talk.texts == ["left wheel?"]


def test_a_zone_is_announced_when_it_begins() -> None:
    """Once, aloud and to whoever watches."""
    talk = talk_at("left_tyre")

    assert talk.texts == ["Yes.", "left side.", "left tyre?"]
    assert talk.notices("zone") == [{"zone": "left_side", "title": "left side"}]
    talk.walk_to("left_wheel")
    assert talk.notices("zone") == []


def test_a_climb_says_where_to_and_its_caution_and_then_waits() -> None:
    """Three points of contact are said; nothing is asked until both feet are down."""
    caution = "Face the machine. Three points of contact."
    talk = talk_at("climb", checklist=with_caution(caution))

    assert talk.texts == [
        "Good.",
        "engine.",
        f"{caution} Say feet down when you stand.",
    ]
    assert talk.notices("climb") == [{"zone": "engine"}]
    assert talk.listening.timeout_s == pytest.approx(60.0)
    assert {p.meaning for p in talk.listening.active.phrases if not p.control} == {
        "done"
    }
    talk.say("feet down")
    assert talk.texts == ["engine oil?"]


def test_silence_during_a_climb_is_answered_shortly_and_then_waits() -> None:
    """No question, no list of choices on the ladder; the third puts the walk aside."""
    talk = talk_at("climb")

    for _ in range(2):
        talk.silence()
        assert talk.texts == ["I wait. Say feet down."]
        assert talk.listening.timeout_s == pytest.approx(60.0)
    talk.silence()
    assert talk.question == "paused"

    talk.say_all("carry on", "feet down")
    assert talk.at == "engine_oil"


def test_a_doubtful_feet_down_does_not_end_the_climb() -> None:
    """Only a sure word does."""
    talk = talk_at("climb")

    talk.say_doubtfully("feet down")

    assert talk.texts == ["I wait. Say feet down."]
    assert talk.at == "climb"


def walked_with_findings() -> ScriptedTalk:
    """Return a talk at the declaration, with three findings and a skip."""
    talk = talk_at("left_wheel")
    talk.say_all("skip", "too dark", "leak", "class one", "yes")
    talk.walk_to("engine_oil")
    talk.say_all("low", "yes")
    talk.walk_to("left_wheel")
    talk.say_all("defect", "loose", "major", "yes")
    assert talk.at == "declaration"
    return talk


def test_the_summary_reads_every_finding_and_why() -> None:
    """In walking order, then the decision, its reasons and who comes first."""
    talk = walked_with_findings()

    assert talk.texts == [
        "3 findings.",
        "1: left wheel: defect, loose, major.",
        "2: leaks below: leak, fuel, class one.",
        "3: engine oil: low.",
        "Out of service. Do not use the machine.",
        "Rule wheels major.",
        "Rule any fuel leak.",
        "The manual of the machine, local law, the rules of the site and a competent "
        "person come first.",
        "I looked at every point myself. Do you sign this?",
    ]
    (decision,) = talk.notices("decision")
    assert decision["outcome"] == "out_of_service"


def test_at_most_three_reasons_are_read_out() -> None:
    """The record has them all; the ear has not the time."""
    talk = walked_with_findings()
    talk.say("go back")
    talk.say_all("defect", "loose", "critical", "yes")

    reasons = [text for text in talk.texts if text.startswith("Rule")]
    assert len(reasons) == 3


def test_repeat_at_the_declaration_reads_the_summary_again() -> None:
    """It may have been lost in the noise."""
    talk = walked_with_findings()
    summary = talk.texts

    talk.say("repeat")

    assert talk.texts == summary
    assert talk.notices("decision") == []


def test_a_re_prompt_of_the_declaration_is_short() -> None:
    """Silence does not bring the whole summary again."""
    talk = walked_with_findings()

    talk.silence()

    assert talk.texts == ["I looked at every point myself. Do you sign this?"]


def test_yes_signs() -> None:
    """The walk is over and signed."""
    talk = walked_with_findings()

    talk.say("yes")

    assert talk.texts == ["Signed. Thank you."]
    assert talk.session.walk.phase is Phase.SIGNED
    assert talk.session.walk.declared is True


def test_no_is_asked_about_once_more_before_it_declines() -> None:
    """The second no leaves the walk unsigned: the machine is not released."""
    talk = talk_at("declaration")

    talk.say("no")
    assert talk.texts == ["Say yes to sign, or no to leave it unsigned."]
    assert not talk.session.walk.over
    talk.say("no")

    assert talk.texts[:2] == [
        "Not signed. The machine is not released.",
        "Out of service. Do not use the machine.",
    ]
    assert talk.session.walk.phase is Phase.DECLINED
    assert talk.notices("decision")[0]["outcome"] == "out_of_service"


def test_a_failure_before_the_first_no_does_not_make_it_the_last() -> None:
    """Only a no counts as a no."""
    talk = talk_at("declaration")
    talk.silence()

    talk.say("no")

    assert talk.texts == ["Say yes to sign, or no to leave it unsigned."]
    talk.say("yes")
    assert talk.session.walk.phase is Phase.SIGNED


@pytest.mark.parametrize(("phrase", "confidence"), [("yes", 0.8), ("no", 0.3)])
def test_an_unclear_word_neither_signs_nor_declines(
    phrase: str, confidence: float
) -> None:
    """Both ends of a walk need a word that was understood."""
    talk = talk_at("declaration")
    talk.say("no")

    talk.say(phrase, confidence)

    assert not talk.session.walk.over
    assert talk.at == "declaration"


def test_three_failures_at_the_declaration_sign_nothing() -> None:
    """The walk waits; "carry on" brings the declaration, not the whole summary."""
    talk = talk_at("declaration")
    for _ in range(3):
        talk.silence()
    assert not talk.session.walk.over

    talk.say("carry on")

    assert talk.texts == [
        "Carrying on.",
        "I looked at every point myself. Do you sign this?",
    ]


def test_every_question_ends_with_something_to_answer() -> None:
    """Whatever else a turn says, the prompt or read-back comes last."""
    talk = ScriptedTalk()
    while talk.question:
        last = [step for step in talk.turn.steps if isinstance(step, Say)][-1]
        assert last.kind in (SayKind.PROMPT, SayKind.READBACK)
        talk.usual()
