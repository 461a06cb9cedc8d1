"""Every command, found by discovery: help, example, and a place in the README."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest
import typer.main

from voicecheck.cli.main import app, main

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def commands() -> dict[str, str]:
    """Return every command with its help, groups included: "records list" → help."""
    found: dict[str, str] = {}

    def collect(name: str, command: object) -> None:
        found[name] = getattr(command, "help", "") or ""
        for inner, child in getattr(command, "commands", {}).items():
            collect(f"{name} {inner}".strip(), child)

    collect("", typer.main.get_command(app))
    return found


COMMANDS = commands()
LEAVES = [
    name
    for name in COMMANDS
    if name and not any(other.startswith(f"{name} ") for other in COMMANDS)
]


def run(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    *arguments: str,
) -> tuple[int, str, str]:
    """Run the whole program; return exit status and both outputs."""
    monkeypatch.setattr(sys, "argv", ["voicecheck", *arguments])
    with pytest.raises(SystemExit) as left:
        main()
    out, err = capsys.readouterr()
    return int(str(left.value.code)), out, err


def test_the_commands_that_others_rely_on_are_there() -> None:
    """Their names are a promise."""
    promised = {
        "demo",
        "walk",
        "form",
        "hear",
        "devices",
        "records list",
        "records show",
        "records export",
        "records verify",
        "checklists list",
        "checklists show",
        "checklists lint",
        "checklists new",
        "defects list",
        "defects show",
        "defects start",
        "defects done",
        "defects check",
        "defects release",
        "purge",
        "push",
        "fleet list",
        "fleet import",
        "store export",
        "store import",
        "models list",
        "models add",
        "models remove",
    }

    assert promised <= set(LEAVES)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example(name: str) -> None:
    """A sentence that says what it does, and an example that begins with it."""
    text = COMMANDS[name]

    assert len(text.splitlines()[0]) > 10
    examples = re.findall(r"^\s*Example: (voicecheck .*)$", text, re.MULTILINE)
    assert len(examples) == 1, text
    assert examples[0].startswith(f"voicecheck {name}".strip())


@pytest.mark.parametrize("name", LEAVES)
def test_every_command_stands_in_the_readme(name: str) -> None:
    """In the table of all commands."""
    assert re.search(rf"^\| `voicecheck {name}\b", README, re.MULTILINE)


def test_the_readme_names_no_command_that_is_not_there() -> None:
    """Every command written there can be run."""
    written = set(re.findall(r"voicecheck ([a-z]+(?: [a-z]+\b)?)", README))
    groups = {name.split()[0] for name in LEAVES if " " in name}
    named = {
        text if text.split()[0] in groups else text.split()[0]
        for text in written
        if text.split()[0] in {name.split()[0] for name in LEAVES}
    }

    assert named - {*groups} <= set(LEAVES)
    assert {name.split()[0] for name in LEAVES} <= {n.split()[0] for n in named}


@pytest.mark.parametrize("name", LEAVES)
def test_help_leaves_with_zero(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every option can be shown."""
    status, out, _ = run(monkeypatch, capsys, *name.split(), "--help")

    assert status == 0
    assert "Example: voicecheck" in out


@pytest.mark.parametrize(
    "arguments",
    [
        ("nosuch",),
        ("form",),
        ("form", "--unit"),
        ("hear", "--engine", "nosuch"),
        ("hear", "--question", "nosuch", "x.wav"),
        ("checklists", "show", "nosuch"),
        ("records", "show", "nosuch"),
    ],
    ids=" ".join,
)
def test_wrong_use_leaves_with_two_and_a_sentence(
    arguments: tuple[str, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """On the standard error, without a traceback."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))

    status, out, err = run(monkeypatch, capsys, *arguments)

    assert (status, out) == (2, "")
    assert len(err.strip()) > 10
    assert "Traceback" not in err


def test_the_version(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Name and number."""
    status, out, _ = run(monkeypatch, capsys, "--version")

    assert status == 0
    assert re.fullmatch(r"voicecheck \d+\.\d+\.\d+\S*\n", out)


def test_the_program_tells_its_exit_statuses(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """In the help of the whole program, and more closely where they differ."""
    _, out, _ = run(monkeypatch, capsys, "--help")

    assert "Exit status: 0 done" in out
    for name in ("walk", "form", "demo", "hear"):
        assert re.search(r"exit\s+status", COMMANDS[name], re.IGNORECASE)
