"""What this operator mostly says moves the odds, and nothing else."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from voicecheck.checklists import load
from voicecheck.dialogue.habit import MOST, Habit, believed
from voicecheck.dialogue.settings import DialogueSettings, settings_for
from voicecheck.round import answers as an
from voicecheck.speech.ports import Hypothesis
from voicecheck.testing.scripted_hearing import Deaf
from voicecheck.testing.scripted_talk import ScriptedTalk

DEFECT = an.Defect(fault=an.Fault.LOOSE, severity=an.Severity.MAJOR)


def maybe(**confidence: float) -> tuple[Hypothesis, ...]:
    """Hypotheses in the order given."""
    return tuple(
        Hypothesis(phrase=name, meaning=name, confidence=p)
        for name, p in confidence.items()
    )


def test_nothing_is_believed_before_anything_was_confirmed() -> None:
    """The first "good" is as likely as it was heard."""
    assert Habit().odds == 1.0


@given(good=st.integers(0, 60), other=st.integers(0, 60))
def test_the_odds_are_those_of_a_beta_distribution(good: int, other: int) -> None:
    """Against the mean found by integrating SciPy's density, beta(1, 8) at first."""
    habit = Habit()
    for answer in (*[an.Good()] * good, *[DEFECT] * other):
        habit.confirmed(answer)
    density = stats.beta(1 + good, 8 + other).pdf

    mean = integrate.quad(lambda x: x * density(x), 0, 1, points=[0.5, 0.9])[0]

    expected = mean / (1 - mean) / (1 / 8)
    assert habit.odds == pytest.approx(min(MOST, max(1.0, expected)), rel=1e-4)


def test_a_good_that_was_not_meant_ends_the_belief() -> None:
    """Whatever was confirmed before."""
    habit = Habit(good=50)

    habit.was_wrong()

    assert habit.odds == 1.0


def test_readings_and_yeses_are_no_habit() -> None:
    """Only answers about a condition count."""
    habit = Habit(good=3)

    for answer in (an.Yes(), an.No(), an.LevelSeen(level=an.Level.FULL)):
        habit.confirmed(answer)

    assert (habit.good, habit.other) == (3, 0)


@given(st.lists(st.floats(0.001, 1.0), min_size=2, max_size=5), st.floats(1.0, MOST))
def test_odds_are_moved_by_bayes_rule(weights: list[float], odds: float) -> None:
    """Each ratio to another phrase grows by the odds, to "none of them" as well."""
    weights = sorted(weights, reverse=True)
    share = [w / sum(weights) for w in weights]  # the last is "none of them"
    names = ["good", "leak", "defect", "help"][: len(share) - 1]

    after = believed(maybe(**dict(zip(names, share, strict=False))), odds)

    left = 1.0 - sum(h.confidence for h in after)
    for other, p in zip(
        [*[h.confidence for h in after[1:]], left], share[1:], strict=True
    ):
        assert after[0].confidence * p == pytest.approx(share[0] * odds * other)


@given(st.floats(1.0, MOST))
def test_nothing_becomes_a_good_by_habit(odds: float) -> None:
    """A leak that is likelier stays as it was heard."""
    heard = maybe(leak=0.5, good=0.45)

    assert believed(heard, odds) == heard
    assert believed((), odds) == ()


BY_HABIT = DialogueSettings(moves_odds=True)


def hear_a_good(talk: ScriptedTalk, confidence: float = 0.96) -> str:
    """Hear a "good" that may be a leak; say what became of it."""
    while talk.question != "condition":
        talk.usual()
    talk.hear(maybe(good=confidence, leak=0.004))
    return "read back" if talk.question == "yes_no" else "taken"


def walk_of_yeses(talk: ScriptedTalk, count: int) -> list[str]:
    """What becomes of so many of them, each read-back followed by a yes."""
    outcomes = []
    for _ in range(count):
        outcomes.append(hear_a_good(talk))
        if outcomes[-1] == "read back":
            talk.say("yes")
    return outcomes


def test_after_some_yeses_a_likely_good_is_taken() -> None:
    """Taken, it costs 400 * 0.004 + 20 * 0.036 = 2.3 turns, more than a read-back;
    at three times the odds 0.8, less than a read-back. By hand from `costs.toml`.
    """
    talk = ScriptedTalk(load("wheel-loader", "en"), BY_HABIT)

    assert walk_of_yeses(talk, 4) == ["read back", "read back", "taken", "taken"]


def test_a_recogniser_that_it_was_not_tried_with_is_taken_at_its_word() -> None:
    """The cap of the odds was measured with one recogniser only."""
    settings = settings_for(Deaf())
    talk = ScriptedTalk(load("wheel-loader", "en"), settings)

    assert walk_of_yeses(talk, 4) == ["read back"] * 4


def test_a_no_to_a_good_ends_it() -> None:
    """The next "good" is read back again, and the one after it."""
    talk = ScriptedTalk(load("wheel-loader", "en"), BY_HABIT)
    walk_of_yeses(talk, 3)
    while hear_a_good(talk, 0.8) != "read back":
        pass
    talk.say("no")
    talk.say_all("defect", "loose", "major", "yes")

    assert walk_of_yeses(talk, 3) == ["read back", "read back", "taken"]


def test_a_good_that_was_taken_back_ends_it() -> None:
    """It was taken unread, and was not what was said."""
    talk = ScriptedTalk(load("wheel-loader", "en"), BY_HABIT)
    walk_of_yeses(talk, 3)
    talk.say("go back")
    talk.say_all("defect", "loose", "major", "yes")

    assert walk_of_yeses(talk, 2) == ["read back", "read back"]


def test_a_walk_that_is_taken_up_again_begins_without_belief() -> None:
    """Somebody else may have taken over."""
    talk = ScriptedTalk(load("wheel-loader", "en"), BY_HABIT)
    walk_of_yeses(talk, 3)

    again = ScriptedTalk(load("wheel-loader", "en"), BY_HABIT, before=talk)

    assert walk_of_yeses(again, 1) == ["read back"]


def test_the_record_keeps_how_sure_the_hearing_was() -> None:
    """Belief decides about the read-back; it is no better hearing."""
    talk = ScriptedTalk(load("wheel-loader", "en"), BY_HABIT)
    walk_of_yeses(talk, 3)

    assert talk.how().confirmed_by == "implicit"
    assert talk.how().confidence == pytest.approx(0.96)
