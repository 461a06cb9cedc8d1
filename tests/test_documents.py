"""README and DEVELOPERS.md say what is so."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from voicecheck.checklists.loader import load
from voicecheck.record import answers_file
from voicecheck.round.checklist import Checklist

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def loader() -> Checklist:
    """Give the shipped checklist."""
    return load("wheel-loader")


def test_ci_runs_the_test_command_of_the_readme() -> None:
    """Word for word; DEVELOPERS.md names the same."""
    script = ROOT / ".ci" / "run"
    if not script.is_file():
        pytest.skip("a source archive has no .ci")
    [command] = re.findall(r"^  (python3 -m venv .*pytest)$", script.read_text(), re.M)

    assert command in README
    assert command in DEVELOPERS


def test_the_first_command_sets_up_and_plays_the_demo() -> None:
    """One line, from nothing to a walk."""
    wanted = (
        "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/voicecheck demo"
    )

    assert wanted in README


def test_the_answers_in_the_readme_can_be_used(loader: Checklist) -> None:
    """The example is an answers file of the shipped checklist."""
    [example] = re.findall(r"```json\n(.*?)```", README, re.DOTALL)

    answers = answers_file.parse(example, loader)

    assert len(answers) == len(json.loads(example)["answers"]) >= 7


def test_every_room_is_on_the_map() -> None:
    """Each package of the project has a line, and each line a package."""
    rooms = {
        path.name
        for path in (ROOT / "voicecheck").iterdir()
        if (path / "__init__.py").is_file()
    }
    mapped = set(re.findall(r"^\| `voicecheck/(\w+)/`", DEVELOPERS, re.MULTILINE))

    assert mapped == rooms


@pytest.mark.parametrize(("name", "text"), [("README", README), ("DEV", DEVELOPERS)])
def test_links_lead_to_files(name: str, text: str) -> None:
    """Every relative link is a file of the repository."""
    links = re.findall(r"\]\(([^)#:]+)\)", text)

    assert links
    assert [link for link in links if not (ROOT / link).is_file()] == [], name


@pytest.mark.parametrize(
    "path", re.findall(r"`(voicecheck/[\w/.-]+\.(?:py|json|toml))`", README)
)
def test_files_named_in_the_readme_exist(path: str) -> None:
    """Schemas are where it says."""
    assert (ROOT / path).is_file()
