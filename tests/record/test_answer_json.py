"""Answers as JSON objects."""

from __future__ import annotations

import json
import typing
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.record.answer_json import KEYS, answer_from_json, answer_to_json
from voicecheck.round import answers as an
from voicecheck.round.decision import answer_name
from voicecheck.round.record import answer_data

READINGS = st.decimals(
    min_value=-999_999, max_value=999_999, places=3, allow_nan=False
).map(lambda value: an.ReadingTaken(value=value))
ANSWERS: st.SearchStrategy[an.Answer] = st.one_of(
    st.sampled_from([an.Yes(), an.No(), an.Good(), an.NotFitted()]),
    st.builds(
        an.Defect,
        fault=st.sampled_from(an.Fault),
        severity=st.sampled_from(an.Severity),
    ),
    st.builds(
        an.Leak,
        fluid=st.sampled_from(["fuel", "coolant"]),
        leak_class=st.sampled_from(an.LeakClass),
    ),
    st.builds(an.CouldNotCheck, reason=st.sampled_from(an.Reason)),
    st.builds(an.LevelSeen, level=st.sampled_from(an.Level)),
    READINGS,
)


@given(ANSWERS)
def test_an_answer_comes_back_the_same(answer: an.Answer) -> None:
    """JSON text in between loses nothing of any answer."""
    text = json.dumps(answer_to_json(answer))

    assert answer_from_json(json.loads(text)) == answer


@given(ANSWERS)
def test_the_shape_is_that_of_the_content(answer: an.Answer) -> None:
    """Journal, answers file and record's content write an answer alike."""
    data = answer_to_json(answer)

    assert data == answer_data(answer)
    assert set(data) == {"answer", *KEYS[answer_name(answer)]}


def test_every_answer_has_its_keys() -> None:
    """No answer can be added without a place here."""
    assert len(KEYS) == len(typing.get_args(an.Answer))


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ("good", "expected an object"),
        ({}, '"answer" must be one of'),
        ({"answer": "fine"}, "could_not_check"),
        ({"answer": ["good"]}, '"answer" must be one of'),
        ({"answer": "defect", "fault": "bent"}, 'needs "severity"'),
        ({"answer": "good", "severity": "minor"}, 'does not take "severity"'),
        ({"answer": "defect", "fault": "odd", "severity": "minor"}, "cracked"),
        ({"answer": "leak", "fluid": "", "leak_class": "I"}, "id of a fluid"),
        ({"answer": "leak", "fluid": "fuel", "leak_class": 3}, "I, II, III"),
        ({"answer": "level", "level": None}, "between"),
        ({"answer": "reading", "value": "12"}, "expected a number"),
        ({"answer": "reading", "value": True}, "expected a number"),
        ({"answer": "reading", "value": float("nan")}, "expected a number"),
    ],
    ids=str,
)
def test_what_is_no_answer_is_refused(data: object, says: str) -> None:
    """The error says what was expected."""
    with pytest.raises(ValueError, match=says):
        answer_from_json(data)


def test_a_number_keeps_the_digits_that_were_written() -> None:
    """4527.3 stays 4527.3 and does not become the nearest binary fraction."""
    answer = answer_from_json({"answer": "reading", "value": 4527.3})

    assert answer == an.ReadingTaken(value=Decimal("4527.3"))


def test_a_number_that_json_would_round_is_refused() -> None:
    """More digits than a JSON number keeps are an error, not a rounding."""
    answer = an.ReadingTaken(value=Decimal("0.1234567890123456789"))

    with pytest.raises(ValueError, match="more digits"):
        answer_to_json(answer)
