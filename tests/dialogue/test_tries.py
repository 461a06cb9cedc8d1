"""A number that is said again: what all tries say together."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.dialogue import confirmation
from voicecheck.dialogue.tries import Tries
from voicecheck.speech.ports import Hypothesis

SHARES = st.dictionaries(
    st.integers(0, 9).map(str), st.floats(0.01, 0.3), min_size=1, max_size=3
)


def heard(**shares: float) -> tuple[Hypothesis, ...]:
    """Numbers n450, n452, … with these probabilities, the likeliest first."""
    named = {name.removeprefix("n"): p for name, p in shares.items()}
    return of(named)


def of(shares: dict[str, float]) -> tuple[Hypothesis, ...]:
    """Hypotheses of a try."""
    order = sorted(shares, key=lambda m: -shares[m])
    return tuple(
        Hypothesis(phrase=f"words {m}", meaning=m, confidence=shares[m]) for m in order
    )


def test_the_first_try_stands_as_it_was_heard() -> None:
    """Nothing to put it together with."""
    first = heard(n450=0.4, n452=0.3)

    assert Tries().joined(first) == first


def test_two_doubtful_tries_make_a_sure_one() -> None:
    """Bayes by hand: 0.4 · 0.4 against 0.3 · 0.0002 and what nobody named."""
    tries = Tries()
    tries.joined(heard(n450=0.4, n452=0.3))

    found = tries.joined(heard(n450=0.4, n410=0.4))

    assert found[0].meaning == "450"
    parts = [0.4 * 0.4, 0.3 * 0.0002, 0.0003 * 0.4]
    expected = parts[0] / (sum(parts) + 1000 * 0.0003 * 0.0002)
    assert found[0].confidence == pytest.approx(expected, rel=1e-9)


def test_a_number_of_an_earlier_try_keeps_its_words() -> None:
    """The second try heard nothing like it, and nothing surely."""
    tries = Tries()
    tries.joined(heard(n450=0.9))

    found = tries.joined(heard(n7=0.05))

    assert found[0].meaning == "450"
    assert found[0].phrase == "words 450"


def test_who_corrects_a_number_is_heard() -> None:
    """The operator misread, and now says surely something else."""
    tries = Tries()
    tries.joined(heard(n450=0.85))
    found = confirmation.weighed(tries.joined(heard(n470=0.9)), {"450"})

    assert found[0].meaning == "470"
    assert found[0].confidence > 0.8


@given(first=SHARES, second=SHARES, third=SHARES)
def test_the_order_of_the_tries_says_nothing(
    first: dict[str, float], second: dict[str, float], third: dict[str, float]
) -> None:
    """A product does not care, and is a probability."""
    one, other = Tries(), Tries()
    for shares in (first, second):
        one.joined(of(shares))
    for shares in (third, second):
        other.joined(of(shares))

    found = {h.meaning: h.confidence for h in one.joined(of(third))}
    again = {h.meaning: h.confidence for h in other.joined(of(first))}

    assert found == pytest.approx(again)
    assert sum(found.values()) <= 1 + 1e-9


def test_words_among_the_numbers_are_no_try() -> None:
    """ "Cannot check" was heard: that is no number said again."""
    tries = Tries()
    tries.joined(heard(n450=0.4))
    words = (Hypothesis(phrase="unable", meaning="could_not_check", confidence=0.9),)

    assert tries.joined(words) == words
    assert len(tries.before) == 1
