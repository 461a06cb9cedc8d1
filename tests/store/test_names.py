"""Ids of units and operators."""

from __future__ import annotations

import pytest

from voicecheck.errors import UsageError
from voicecheck.store.names import is_training, operator_id, unit_id


@pytest.mark.parametrize("text", ["L-12", "a", "Loader 3.b_2", "로더-12", "7" * 64])
def test_usual_names_are_taken(text: str) -> None:
    """Letters of any script, digits, dash, underscore, dot and space will do."""
    assert unit_id(text) == text
    assert operator_id(text) == text


def test_spaces_around_a_name_are_dropped() -> None:
    """A space typed by mistake makes no second unit."""
    assert unit_id(" L-12 ") == "L-12"


def test_one_name_in_two_encodings_is_one_name() -> None:
    """Letters put together from parts equal those that are not (Unicode NFC)."""
    assert unit_id("Lo\u0308ffel") == unit_id("L\u00f6ffel")


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "../x",
        "a/b",
        "a\\b",
        ".",
        "..",
        "-x",
        "a\nb",
        "a\x00",
        "=1+1",
        "x" * 65,
    ],
    ids=repr,
)
def test_other_names_are_refused(text: str) -> None:
    """Nothing that could be a path, an option or a formula becomes a unit."""
    with pytest.raises(UsageError, match="id of the unit"):
        unit_id(text)


def test_an_operator_may_be_left_out() -> None:
    """No name is an empty name, which is not true of a unit."""
    assert operator_id("  ") == ""


@pytest.mark.parametrize(
    ("unit", "training"),
    [
        ("L-12 training", True),
        ("L-12 Training", True),
        ("L-12", False),
        ("training", False),
        ("L-12training", False),
        ("training L-12", False),
    ],
)
def test_training_units_are_told_by_their_name(unit: str, training: bool) -> None:
    """A word of its own at the end; anything else is a real machine."""
    assert is_training(unit_id(unit)) is training
