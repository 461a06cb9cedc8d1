"""A checklist whose places cannot be named is refused, with what to do."""

from __future__ import annotations

from dataclasses import replace

import pytest

from voicecheck.checklists.loader import load
from voicecheck.checklists.problems import ProblemSeverity
from voicecheck.learn.spoken.lint import places_can_be_said
from voicecheck.round.checklist import Checklist
from voicecheck.testing.small_checklist import small_checklist


def with_prompts(*prompts: str) -> Checklist:
    """The small checklist, the last zone asking something else."""
    small = small_checklist()
    cab = small.zones[-1]
    points = tuple(
        replace(point, prompt=prompt)
        for point, prompt in zip(cab.checkpoints, prompts, strict=True)
    )
    return replace(small, zones=(*small.zones[:-1], replace(cab, checkpoints=points)))


@pytest.mark.parametrize(
    "machine",
    [
        "articulated-dump-truck",
        "crawler-excavator",
        "telescopic-handler",
        "track-dozer",
        "wheel-loader",
    ],
)
def test_the_shipped_machines_can_be_named(machine: str) -> None:
    """No error, and no two zones or points of a zone that sound alike."""
    assert list(places_can_be_said(load(machine))) == []


def test_an_unknown_word_is_refused_with_where_to_add_it() -> None:
    """The point is named, and the file."""
    [problem] = places_can_be_said(with_prompts("Zorkflange?", "Camera?"))

    assert problem.severity is ProblemSeverity.ERROR
    assert problem.place.startswith("horn")
    assert "pronunciations.dict" in problem.text


def test_one_name_for_two_points_is_refused() -> None:
    """Nobody could say which of them is meant."""
    [problem] = places_can_be_said(with_prompts("Hoses?", "Hoses?"))

    assert problem.severity is ProblemSeverity.ERROR
    assert "camera" in problem.text


def test_names_that_sound_alike_are_told() -> None:
    """A warning: practice asks back more often there."""
    [problem] = places_can_be_said(with_prompts("Left pin?", "Left bin?"))

    assert problem.severity is ProblemSeverity.WARNING
    assert "horn and camera sound alike" in problem.text


def test_other_languages_pass() -> None:
    """Phones are known for English only."""
    assert list(places_can_be_said(load("wheel-loader", "ko"))) == []
