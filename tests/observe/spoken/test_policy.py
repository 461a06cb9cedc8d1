"""What is taken, and what is said again."""

from __future__ import annotations

import pytest

from voicecheck.observe.spoken.policy import taken
from voicecheck.speech.ports import Hypothesis


def heard(**meanings: float) -> tuple[Hypothesis, ...]:
    """Return hypotheses with these probabilities."""
    return tuple(
        Hypothesis(phrase=meaning, meaning=meaning, confidence=share)
        for meaning, share in meanings.items()
    )


@pytest.mark.parametrize(
    ("shares", "wanted"),
    [
        ({}, None),
        ({"missed": 0.9}, "missed"),
        ({"missed": 0.74}, None),
        ({"looked": 0.9}, "looked"),
        ({"looked": 0.84}, None),
        ({"looked": 0.87, "missed": 0.11}, None),
        ({"looked": 0.87, "next": 0.11}, "looked"),
        ({"missed": 0.8, "looked": 0.15}, "missed"),
        ({"undo": 0.8, "unsafe": 0.15}, "undo"),
    ],
    ids=lambda value: "-".join(value) if isinstance(value, dict) else str(value),
)
def test_doubt_records_nothing(shares: dict[str, float], wanted: str | None) -> None:
    """ "Looked" asks for more, and yields to a worse mark that may have been said."""
    assert taken(heard(**shares)) == wanted


def test_ways_to_say_one_thing_add_up() -> None:
    """Two phrases of one meaning are one."""
    two = (
        Hypothesis(phrase="a", meaning="missed", confidence=0.4),
        Hypothesis(phrase="b", meaning="missed", confidence=0.4),
    )
    assert taken(two) == "missed"
