"""Manners while it is too loud."""

from __future__ import annotations

import pytest

from voicecheck.audio.noise_watch.loudness import Advice, Change
from voicecheck.dialogue.turns import Say
from voicecheck.testing.scripted_talk import USUAL, ScriptedTalk


def change(*, too_loud: bool, advice: Advice = Advice.BANGS) -> Change:
    """A change as the watch gives it."""
    return Change(
        too_loud=too_loud, advice=advice, noise=88.0, unit="dB(A)", snr_db=1.0
    )


def answer(talk: ScriptedTalk) -> None:
    """Say the usual answer to whatever is asked."""
    talk.say(USUAL[talk.listening.active.question])


def past_start() -> ScriptedTalk:
    """A talk in which the first two answers are kept."""
    talk = ScriptedTalk()
    while len(talk.session.walk.answers) < 2:
        answer(talk)
    return talk


def said(talk: ScriptedTalk) -> list[str]:
    """What is said in the turn."""
    return [step.text for step in talk.turn.steps if isinstance(step, Say)]


@pytest.mark.parametrize("advice", list(Advice))
def test_it_is_said_once_with_advice_and_kept(advice: Advice) -> None:
    """The next turn begins with it, the one after does not; the journal has it."""
    talk = past_start()
    talk.conversation.loudness_changed(change(too_loud=True, advice=advice))

    answer(talk)
    first = said(talk)
    answer(talk)

    assert first[1] == "I ask for a yes after each answer."
    assert first[0] not in said(talk)
    assert talk.observed == ["noise_too_loud"]


def test_every_answer_waits_for_a_yes_until_it_is_quiet() -> None:
    """A sure answer is read back; afterwards it is taken as usual."""
    talk = past_start()
    kept = []
    talk.conversation.loudness_changed(change(too_loud=True))
    for _ in range(2):
        while talk.listening.active.question == "climb":
            answer(talk)
        answer(talk)
        kept.append(len(talk.session.walk.answers))
    talk.conversation.loudness_changed(change(too_loud=False))
    while talk.listening.active.question != "condition":
        answer(talk)
    before = len(talk.session.walk.answers)
    answer(talk)

    assert kept == [2, 3]
    assert len(talk.session.walk.answers) == before + 1
    assert talk.observed == ["noise_too_loud", "noise_quiet_again"]
