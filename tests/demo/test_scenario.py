"""What the simulated operator sees."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.checklists.loader import load
from voicecheck.demo.scenario import seeded_answers
from voicecheck.round.decision import findings
from voicecheck.round.probing import problem_with

CHECKLIST = load("wheel-loader")


@given(st.integers(0, 10_000))
@settings(max_examples=40)
def test_every_scenario_is_complete_and_possible(seed: int) -> None:
    """Each point has an answer that fits it, and several are findings."""
    meant = seeded_answers(CHECKLIST, seed)

    assert list(meant) == [point.id for point in CHECKLIST.checkpoints]
    for point in CHECKLIST.checkpoints:
        assert problem_with(CHECKLIST, point, meant[point.id]) is None
    assert len(findings(CHECKLIST, meant)) >= 7


@pytest.mark.parametrize("seed", [1, 2])
def test_the_same_seed_gives_the_same_scenario(seed: int) -> None:
    """And another seed another one."""
    assert seeded_answers(CHECKLIST, seed) == seeded_answers(CHECKLIST, seed)
    assert seeded_answers(CHECKLIST, seed) != seeded_answers(CHECKLIST, seed + 1)
