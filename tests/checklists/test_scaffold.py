"""A new checklist begins whole, speaks plainly and never replaces another."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.checklists import lint, load
from voicecheck.checklists.scaffold import scaffold_text, write_scaffold
from voicecheck.errors import ChecklistError
from voicecheck.round.checklist import CheckpointKind


def test_it_has_every_kind_of_question_and_no_problem(tmp_path: Path) -> None:
    """Lint finds nothing, and each kind of question is shown once at least."""
    path = write_scaffold(tmp_path, "road-roller", "  small   road roller ")

    assert lint(path) == ()
    checklist = load(path)
    assert {point.kind for point in checklist.checkpoints} == set(CheckpointKind)
    assert (checklist.name, checklist.machine) == ("road-roller", "small road roller")
    own = [rule.id for rule in checklist.rules if rule.checkpoints]
    assert own == ["left_cylinder_defect"]


def test_a_file_that_is_there_stays(tmp_path: Path) -> None:
    """Only force writes over it, and the error says so."""
    path = tmp_path / "road-roller.toml"
    path.write_text("mine", encoding="utf-8")

    with pytest.raises(ChecklistError, match="--force"):
        write_scaffold(tmp_path, "road-roller", "small road roller")
    assert path.read_text(encoding="utf-8") == "mine"
    write_scaffold(tmp_path, "road-roller", "small road roller", force=True)
    assert lint(path) == ()


@pytest.mark.parametrize(
    ("name", "machine", "said"),
    [
        ("Road Roller", "roller", "lower case"),
        ("../roller", "roller", "lower case"),
        ("a" * 61, "roller", "at most 60"),
        ("roller", "   ", "1 to 80"),
        ("roller", "roller " * 12, "1 to 80"),
        ("roller", "12 t roller", "'12'"),
        ("roller", 'roller" \nformat = 2', "plain words"),
    ],
)
def test_what_cannot_be_a_name_or_be_spoken(name: str, machine: str, said: str) -> None:
    """The error names what to change."""
    with pytest.raises(ChecklistError, match=said):
        scaffold_text(name, machine)


def test_a_folder_that_is_missing(tmp_path: Path) -> None:
    """Nothing is made up: the folder must be there."""
    with pytest.raises(ChecklistError, match="a folder that"):
        write_scaffold(tmp_path / "nowhere", "road-roller", "small road roller")
