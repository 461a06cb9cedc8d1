"""The walk that the simulated trainees practise."""

from __future__ import annotations

import pytest

from voicecheck.checklists.loader import load
from voicecheck.learn.deck import Deck, deck
from voicecheck.round.checklist import Checklist


@pytest.fixture(scope="module")
def checklist() -> Checklist:
    """The wheel loader, in English."""
    return load("wheel-loader", "en")


@pytest.fixture(scope="module")
def cards(checklist: Checklist) -> Deck:
    """All that can be learned of it."""
    return deck(checklist)
