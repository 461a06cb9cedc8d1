"""The command `voicecheck vocabulary`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner, Result

from voicecheck.cli.vocabulary import vocabulary
from voicecheck.errors import GrammarError, UsageError


def run(*arguments: str) -> Result:
    """Run a program with this one command; our own errors come through."""
    program = typer.Typer()
    program.command()(vocabulary)
    result = CliRunner().invoke(program, list(arguments))
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def test_close_pairs_are_listed_with_meaning_and_replacement() -> None:
    """A person sees the distance, the risk, the meanings and what would help."""
    result = run("--question", "yes_no", "--near", "0.6")
    assert result.exit_code == 0
    assert "dangerous  yes (yes) / repeat (repeat)" in result.stdout
    assert "or say 'affirm' and drop 'yes'" in result.stdout
    assert "No dangerous pair lies closer than 0.35" in result.stdout


def test_a_stricter_minimum_refuses() -> None:
    """Exit status 1, the pair marked, and what to do."""
    result = run("--question", "yes_no", "--minimum", "0.6")
    assert result.exit_code == 1
    assert "REFUSED    yes (yes) / repeat (repeat)" in result.stdout
    assert "Choose other words" in result.stdout


def test_a_known_pair_is_shown_with_its_reason() -> None:
    """Minor and major are too close, kept, and said to be so."""
    result = run("--question", "severity")
    assert result.exit_code == 0
    assert "too close, kept: the trade's usual words" in result.stdout


def test_json_holds_the_same(tmp_path: Path) -> None:
    """A program reads pairs, risks and measured mix-ups."""
    matrix = tmp_path / "matrix.json"
    matrix.write_text(
        '{"schema": "voicecheck.confusions", "version": 1, "source": "trial",'
        '"counts": {"yes": {"repeat": 1, "yes": 9}}}'
    )

    result = run(
        "--question", "yes_no", "--near", "0.6", "--json", "--confusions", str(matrix)
    )

    data = json.loads(result.stdout)
    assert data["ok"] is True
    assert data["confusions"] == "trial"
    pair = data["questions"][0]["pairs"][0]
    assert sorted(pair["phrases"]) == ["repeat", "yes"]
    assert pair["confusion_rate"] == 0.1
    assert pair["risk"] == "dangerous"
    assert pair["replacements"]


def test_measured_mix_ups_stand_beside_the_distance(tmp_path: Path) -> None:
    """What was not tried is called so."""
    matrix = tmp_path / "matrix.json"
    matrix.write_text(
        '{"schema": "voicecheck.confusions", "version": 1, "counts":'
        '{"skip": {"stop": 1, "skip": 199}}}'
    )
    result = run("--question", "severity", "--confusions", str(matrix))
    assert "skip (skip) / stop (stop), mixed up 0.50 %" in result.stdout
    assert "major (major), not tried" in result.stdout


@pytest.mark.parametrize(
    ("arguments", "error"),
    [
        (["--near", "3"], UsageError),
        (["--minimum", "-1"], UsageError),
        (["--question", "mood"], GrammarError),
        (["--lang", "xx"], GrammarError),
    ],
)
def test_wrong_use_is_said(arguments: list[str], error: type[Exception]) -> None:
    """Our own errors, which the program turns into a sentence and status 2."""
    with pytest.raises(error):
        run(*arguments)


def test_the_help_has_an_example() -> None:
    """Whoever asks for help sees how it is called."""
    assert "voicecheck vocabulary --question" in run("--help").stdout
