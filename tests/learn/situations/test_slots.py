"""Slots are filled by every amount of their name, and by nothing else."""

from __future__ import annotations

import pytest

from voicecheck.errors import LearnError
from voicecheck.learn.situations.slots import filled

AMOUNTS = {"length": ("short", "long"), "dust": ("Dust", "Mud")}


@pytest.mark.parametrize(
    ("text", "texts"),
    [
        ("Dry.", ("Dry.",)),
        ("A {length} crack.", ("A short crack.", "A long crack.")),
        (
            "{dust}, {length}.",
            ("Dust, short.", "Dust, long.", "Mud, short.", "Mud, long."),
        ),
        ("{fluid} {length} {fluid}", ("Oil short oil", "Oil long oil")),
    ],
)
def test_every_amount_gives_a_text(text: str, texts: tuple[str, ...]) -> None:
    """All combinations, each beginning with a capital; one name, one value."""
    assert filled(text, AMOUNTS, {"fluid": "oil"}) == texts


def test_a_slot_without_a_list_is_refused() -> None:
    """A misspelt slot would otherwise be shown to a learner."""
    with pytest.raises(LearnError, match="lenght"):
        filled("A {lenght} crack.", AMOUNTS)
