"""The short walk for tests in real time."""

from __future__ import annotations

from pathlib import Path

from voicecheck.checklists.lint import lint
from voicecheck.checklists.loader import load
from voicecheck.round.checklist import CheckpointKind, Place
from voicecheck.testing.short_walk import POINTS, short_walk


def test_it_is_a_faultless_checklist_with_every_kind_of_answer(tmp_path: Path) -> None:
    """Start check, condition, level, reading, something absent, and a climb."""
    path = tmp_path / "short-walk.toml"
    path.write_text(short_walk(), encoding="utf-8")
    short = load(path)

    assert list(lint(path)) == []
    assert tuple(point.id for point in short.checkpoints) == POINTS
    assert {point.kind for point in short.checkpoints} == set(CheckpointKind) - {
        CheckpointKind.FUNCTION
    }
    assert any(point.may_be_absent for point in short.checkpoints)
    assert [zone.place for zone in short.zones].count(Place.PLATFORM) == 1


def test_its_points_are_those_of_the_whole_walk(tmp_path: Path) -> None:
    """Texts, tags and limits are not written twice, and rules decide the same."""
    path = tmp_path / "short-walk.toml"
    path.write_text(short_walk(), encoding="utf-8")
    short, whole = load(path), load("wheel-loader")

    assert [whole.checkpoint(point) for point in POINTS] == list(short.checkpoints)
    assert (short.rules, short.fluids) == (whole.rules, whole.fluids)
