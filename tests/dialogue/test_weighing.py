"""What was heard, in the light of what is known already."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.dialogue.weighing import possible_first
from voicecheck.round.checklist import CheckpointKind
from voicecheck.speech.ports import Hypothesis
from voicecheck.testing.scripted_talk import ScriptedTalk


def number(value: str, confidence: float) -> Hypothesis:
    """A number that may have been said."""
    return Hypothesis(phrase=value, meaning=value, confidence=confidence)


def test_an_impossible_number_gives_way() -> None:
    """By hand: 0.35 is left when 0.65 cannot be; 0.19 of it is more than half."""
    heard = (number("3866", 0.65), number("366", 0.19))

    left = possible_first(heard, {"3866"})

    assert [h.meaning for h in left] == ["366"]
    assert left[0].confidence == pytest.approx(0.19 / 0.35)
    assert possible_first(heard, {"3866", "366"}) == heard
    assert possible_first(heard, set()) == heard


@given(
    st.lists(st.integers(1, 99), min_size=1, max_size=4, unique=True),
    st.sets(st.integers(1, 99), max_size=4),
)
def test_probabilities_keep_their_order_and_stay_probabilities(
    values: list[int], impossible: set[int]
) -> None:
    """Nothing is invented, nothing grows past 1."""
    heard = [number(str(value), 0.9 / len(values)) for value in values]

    left = possible_first(heard, {str(value) for value in impossible})

    assert left
    assert {h.meaning for h in left} <= {h.meaning for h in heard}
    assert sum(h.confidence for h in left) <= 1.0 + 1e-9
    assert all(h.confidence >= 0.9 / len(values) - 1e-9 for h in left)


@pytest.mark.parametrize("impossible", ["too high", "too many digits"])
def test_the_gauge_decides_between_two_numbers(impossible: str) -> None:
    """A number that cannot stand on it is not even read back."""
    talk = ScriptedTalk()
    while talk.question != "number":
        talk.usual()
    point = talk.checklist.checkpoint(talk.at)
    assert point.kind is CheckpointKind.READING
    assert point.reading is not None
    values = {
        "too high": str(10 * point.reading.plausible_max),
        "too many digits": "8.1" + "2" * point.reading.decimals,
    }

    talk.hear((number(values[impossible], 0.65), number("812", 0.19)))

    assert talk.prompt == "hour meter: eight one two hours. Right?"


def test_an_earlier_try_does_not_bring_back_what_cannot_be() -> None:
    """First only an impossible number was heard, then a possible one in doubt."""
    talk = ScriptedTalk()
    while talk.question != "number":
        talk.usual()
    point = talk.checklist.checkpoint(talk.at)
    assert point.reading is not None
    too_high = str(10 * point.reading.plausible_max)
    talk.hear((number(too_high, 0.9),))

    talk.hear((number("812", 0.6),))

    assert talk.prompt == "hour meter: eight one two hours. Right?"


@pytest.mark.parametrize(("sure", "read_back"), [(0.5, False), (0.6, True)])
def test_a_likely_word_is_read_back_at_the_first_try(
    sure: float, read_back: bool
) -> None:
    """By hand from `costs.toml`: asking again costs 1.5 / (1 - 0.25) = 2 turns, a
    read-back 1 + (1 - p) (0.98 * 2 + 0.02 * 20): 2.2 at 0.5 and 1.9 at 0.6."""
    talk = ScriptedTalk()
    while talk.question != "condition":
        talk.usual()

    talk.hear((Hypothesis(phrase="good", meaning="good", confidence=sure),))

    assert (talk.question == "yes_no") is read_back


@pytest.mark.parametrize(("sure", "read_back"), [(0.4, False), (0.5, True)])
def test_a_number_has_its_own_price(sure: float, read_back: bool) -> None:
    """It is read back from 0.44, as derived in `costs.toml`."""
    talk = ScriptedTalk()
    while talk.question != "number":
        talk.usual()

    talk.hear((number("812", sure),))

    assert (talk.question == "yes_no") is read_back
