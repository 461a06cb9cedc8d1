"""A yes or a no, in the light of what is read back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.checklists import load
from voicecheck.dialogue.objection import ANSWERS, MOST, Objection
from voicecheck.dialogue.settings import DialogueSettings
from voicecheck.speech.ports import Hypothesis
from voicecheck.testing.scripted_talk import ScriptedTalk

shares = st.floats(0.0, 1.0)


def heard(yes: float, no: float, repeat: float = 0.0) -> tuple[Hypothesis, ...]:
    """Return a try; what is left is none of the phrases."""
    rows = (("yes", yes, False), ("no", no, False), ("repeat", repeat, True))
    return tuple(
        Hypothesis(phrase=m, meaning=m, confidence=p, control=c) for m, p, c in rows
    )


def of(hypotheses: tuple[Hypothesis, ...], meaning: str) -> float:
    """Return the probability of a meaning."""
    return sum(h.confidence for h in hypotheses if h.meaning == meaning)


@given(yes=shares, no=shares, sure=shares)
def test_bayes_rule_by_brute_force(yes: float, no: float, sure: float) -> None:
    """Likelihoods times priors, for each of the four that may have been said."""
    total = max(1.0, yes + no + 0.2)
    yes, no, repeat = 0.98 * yes / total, 0.98 * no / total, 0.2 / total
    if not 0 < no < 0.5:
        return
    odds = min(MOST, max(1.0, sure / max(1.0 - sure, 1e-4)))
    shares = {
        "yes": yes * ANSWERS,
        "no": no * ANSWERS / odds,
        "repeat": repeat,
        "other": 1.0 - yes - no - repeat,
    }
    whole = sum(shares.values())

    found = Objection(sure).weighed(heard(yes, no, repeat))

    for meaning in ("yes", "no", "repeat"):
        assert of(found, meaning) == pytest.approx(shares[meaning] / whole, abs=1e-6)


@pytest.mark.parametrize("sure", [0.0, 0.3, 0.5, 0.8, 0.999, 1.0])
def test_a_plain_no_is_never_doubted(sure: float) -> None:
    """However surely the answer was heard."""
    said = heard(0.45, 0.5)

    assert Objection(sure).weighed(said) == said


def test_an_answer_that_was_in_doubt_makes_no_yes_likelier_than_a_no() -> None:
    """With even odds, yes and no keep their ratio."""
    found = Objection(0.4).weighed(heard(0.4, 0.2))

    assert of(found, "yes") == pytest.approx(2 * of(found, "no"))


def test_a_yes_said_again_is_surer_and_a_doubtful_no_undoes_it() -> None:
    """The odds of an earlier try count with half their weight."""
    again = Objection(0.5)
    again.weighed(heard(0.4, 0.1))
    assert again.odds == pytest.approx(2.0)
    again.weighed(heard(0.1, 0.4))
    assert again.odds == pytest.approx(1.0)


def test_a_plain_no_that_is_asked_again_counts_against_a_yes() -> None:
    """A no of 0.55 is not sure enough to end it; the next yes is no eighth of a no.

    By hand: 8 times the root of 0.05 / 0.55 is 2.4.
    """
    known = Objection(0.99)
    known.weighed(heard(0.05, 0.55))
    assert known.odds == pytest.approx(8 * (0.05 / 0.55) ** 0.5)


def test_other_talk_between_changes_nothing() -> None:
    """What is neither yes nor no is no try at either."""
    known = Objection(0.8)
    before = known.odds
    known.weighed(heard(0.2, 0.01, 0.5))
    assert known.odds == before


@given(tries=st.lists(st.tuples(shares, shares), max_size=8), sure=shares)
def test_the_odds_stay_within_bounds(
    tries: list[tuple[float, float]], sure: float
) -> None:
    """No number of tries makes a no incredible."""
    known = Objection(sure)
    for yes, no in tries:
        total = max(1.0, yes + no)
        known.weighed(heard(yes / total, no / total))
        assert 1 / MOST <= known.odds <= MOST


def test_without_a_no_among_what_was_heard_nothing_is_assumed() -> None:
    """A recogniser that names only its best may have heard a no as well."""
    only = (Hypothesis(phrase="yes", meaning="yes", confidence=0.8),)
    assert Objection(0.99).weighed(only) == only


def read_back(settings: DialogueSettings) -> ScriptedTalk:
    """A walk where a "good" of 0.93, over 8 to one, waits for a yes."""
    talk = ScriptedTalk(load("wheel-loader", "en"), settings)
    while talk.question != "condition":
        talk.usual()
    talk.say("good", 0.93)
    assert talk.question == "yes_no"
    return talk


@pytest.mark.parametrize(("moves_odds", "asked_again"), [(True, False), (False, True)])
def test_a_likely_yes_to_a_likely_answer_is_taken(
    moves_odds: bool, asked_again: bool
) -> None:
    """A no of 0.01 costs 400 * 0.01 = 4 turns, all else 25 * 0.09; at 4 times the
    odds of yes and no, and an eighth of that for a no, 1.2 together, less than asking
    again at 1.5. By hand from `costs.toml`.
    """
    talk = read_back(DialogueSettings(moves_odds=moves_odds))

    talk.hear(heard(0.9, 0.01))

    assert (talk.question == "yes_no") is asked_again
