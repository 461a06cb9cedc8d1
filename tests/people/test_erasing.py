"""What an erasure takes out of JSON data."""

from __future__ import annotations

from typing import Any

import pytest

from voicecheck.people.erasing import without


@pytest.mark.parametrize(
    ("data", "left"),
    [
        ("J.Doe", "X"),
        ("as J.Doe said", "as X said"),
        ("ask j.doe.", "ask X."),
        ("(J.DOE) saw", "(X) saw"),
        ("J.Doe가 봤다", "X가 봤다"),
        ("M.J.Doe and J.Doe-2 and J.Doey", "M.J.Doe and J.Doe-2 and J.Doey"),
        (
            {"by": "J.Doe", "J.Doe": [1, None, "J.Doe"]},
            {"by": "X", "X": [1, None, "X"]},
        ),
        ([True, 2.5, {"note": "no name"}], [True, 2.5, {"note": "no name"}]),
    ],
)
def test_an_id_goes_wherever_it_stands(data: Any, left: Any) -> None:
    """As a value, as a key and within a text; a longer id stays."""
    assert without(data, "J.Doe", "X") == left


def test_somebody_called_good_takes_no_answers_along() -> None:
    """A single word in other letters may be of the vocabulary."""
    assert without({"said": "good", "by": "Good"}, "Good", "X") == {
        "said": "good",
        "by": "X",
    }
