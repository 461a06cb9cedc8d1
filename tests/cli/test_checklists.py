"""The commands on checklists: list, show, lint."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from voicecheck.checklists.coverage import unfit_answers
from voicecheck.checklists.files import shipped_folder
from voicecheck.checklists.loader import load
from voicecheck.cli.checklists import app
from voicecheck.errors import ChecklistError
from voicecheck.round.checklist import Outcome

LOADER = load("wheel-loader")


def run(*arguments: str) -> tuple[int, str]:
    """Run a command; return exit status and standard output."""
    result = CliRunner().invoke(app, list(arguments))
    if isinstance(result.exception, Exception):
        raise result.exception
    return result.exit_code, result.stdout


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """Give a checklist file of one's own: a copy of the shipped one, in English."""
    path = tmp_path / "wheel-loader.toml"
    shutil.copy(shipped_folder() / "wheel-loader.toml", path)
    return path


def test_list_names_what_is_there() -> None:
    """Name, version, languages and how much is asked."""
    status, text = run("list")
    rows = {row["name"]: row for row in json.loads(run("list", "--json")[1])}
    row = rows["wheel-loader"]

    assert status == 0
    assert [line.split()[0] for line in text.splitlines()] == sorted(rows)
    assert "en, ko" in text
    assert row["checkpoints"] == len(LOADER.checkpoints) >= 90
    assert row["zones"] == len(LOADER.zones) >= 16
    assert row["sha256"] == LOADER.sha256


def test_show_tells_everything_that_is_asked() -> None:
    """Every zone, point, prompt and caution, in walking order."""
    _, text = run("show")

    places = [text.index(f"-- {zone.title} (") for zone in LOADER.zones]
    assert places == sorted(places)
    for point in LOADER.checkpoints:
        assert f"{point.id} ({point.kind}" in text
        assert point.prompt in text
        assert all(f"! {hazard}" in text for hazard in point.hazards)


def test_show_tells_which_rule_makes_unfit() -> None:
    """A start check answered no; a defect of the horn."""
    lines = run("show")[1].splitlines()

    start = lines.index("  cab_empty (start): Is the cab empty?")
    assert lines[start + 1] == "      unfit: no [start_check_not_met]"
    horn = next(i for i, line in enumerate(lines) if line.startswith("  horn ("))
    assert any("unfit: defect, minor [" in line for line in lines[horn : horn + 4])


def test_every_unfit_answer_is_shown() -> None:
    """The text holds each rule that puts the machine out of service at each point."""
    text = run("show")[1]
    named = {
        rule
        for point in LOADER.checkpoints
        for unfit in unfit_answers(LOADER, point)
        if unfit.outcome is Outcome.OUT_OF_SERVICE
        for rule in unfit.rule_ids
    }

    assert len(named) > 5
    for rule in named:
        assert rule in text


def test_show_for_programs_has_outcomes() -> None:
    """Every bad answer with its outcome and rules; every rule with its source."""
    data = json.loads(run("show", "wheel-loader", "--json")[1])

    points = {p["id"]: p for zone in data["zones"] for p in zone["checkpoints"]}
    assert list(points) == [point.id for point in LOADER.checkpoints]
    assert points["cab_empty"]["bad_answers"] == [
        {"answer": "no", "outcome": "out_of_service", "rules": ["start_check_not_met"]}
    ]
    assert points["hour_meter"]["reading"]["unit"] == "h"
    assert all(rule["source"] for rule in data["rules"])


def test_show_in_korean() -> None:
    """Prompts and words of answers are those of the translation."""
    korean = load("wheel-loader", "ko")

    _, text = run("show", "--lang", "ko")

    assert korean.checkpoints[0].prompt in text
    assert LOADER.checkpoints[0].prompt not in text


def test_show_an_unknown_name_says_which_there_are() -> None:
    """The error lists the shipped ones."""
    with pytest.raises(ChecklistError, match="wheel-loader"):
        run("show", "no-such")


def test_lint_passes_a_good_file(own: Path) -> None:
    """The shipped checklist has no errors, its phrases are all in the dictionary."""
    status, text = run("lint", str(own))

    assert status == 0, text
    assert "0 errors" in text


def test_lint_tells_everything_that_is_wrong(own: Path) -> None:
    """Two mistakes give two errors, and the exit status 1."""
    text = own.read_text(encoding="utf-8")
    text = text.replace('prompt = "Is the cab empty?"', 'prompt = "Cab @ 100 %?"')
    text = text.replace('id = "joint_clear"', 'id = "cab_empty"', 1)
    own.write_text(text, encoding="utf-8")

    status, shown = run("lint", str(own), "--json")

    result = json.loads(shown)
    assert status == 1
    assert result["ok"] is False
    assert sum(p["severity"] == "error" for p in result["problems"]) >= 2
    assert "cab_empty" in shown


def test_lint_finds_a_fluid_that_nobody_can_say(own: Path) -> None:
    """A fluid of the checklist without a phrase in the grammar is an error."""
    text = own.read_text(encoding="utf-8")
    text = text.replace(
        "# ====",
        '[[fluids]]\nid = "gear_slime"\nname = "gear slime"\nunit = "L"\n\n# ====',
        1,
    )
    own.write_text(text, encoding="utf-8")

    status, shown = run("lint", str(own))

    assert status == 1
    assert "fluid.jsgf" in shown
    assert "gear_slime cannot be said" in shown


def test_lint_of_a_missing_file_is_an_error() -> None:
    """It says that there is no such file."""
    with pytest.raises(ChecklistError, match="no such"):
        run("lint", "no-such.toml")


def test_new_begins_a_checklist_and_lints_it(tmp_path: Path) -> None:
    """The file is written, without a problem, and its name is told."""
    words = ("new", "road-roller", "--machine", "small road roller")
    status, text = run(*words, "--to", str(tmp_path))

    assert status == 0
    assert "0 errors, 0 warnings" in text
    assert str(tmp_path / "road-roller.toml") in text
    assert run("lint", str(tmp_path / "road-roller.toml"))[0] == 0
    with pytest.raises(ChecklistError, match="--force"):
        run(*words, "--to", str(tmp_path))
    assert run(*words, "--to", str(tmp_path), "--force")[0] == 0
