"""`voicecheck demo --learn` and `--observe`, as their user runs them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from voicecheck.cli.main import app
from voicecheck.errors import UsageError

RUNNER = CliRunner()


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of the test's own, which must stay empty."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))
    return tmp_path


@pytest.mark.parametrize(
    ("kind", "figures"), [("learn", 6), ("observe", 7)], ids=["learn", "observe"]
)
def test_a_program_reads_what_was_recovered(
    kind: str, figures: int, home: Path
) -> None:
    """One JSON object, with what was put in and every figure; the same each time.
    Nothing is left at home: these results are nobody's."""
    arguments = ["demo", f"--{kind}", "--seeds", "2", "--seed", "5", "--json"]
    told = RUNNER.invoke(app, arguments, catch_exceptions=False).stdout
    document = json.loads(told)

    assert (document["format"], document["kind"]) == ("voicecheck/recovery/1", kind)
    assert (document["first_seed"], len(document["figures"])) == (5, figures)
    assert {one["seeds"] for one in document["figures"]} == {2}
    assert list(home.rglob("people*")) == []


def test_a_watched_walk_is_told_as_a_story() -> None:
    """What was put in, the result sheet, the debrief, and the table."""
    found = RUNNER.invoke(
        app, ["demo", "--observe", "--seeds", "3"], catch_exceptions=False
    )

    for text in (
        "What we put in:",
        "Observed walkaround: J.Doe, L-12",
        "What your walk showed: J.Doe, L-12",
        "Put in and found again, 3 seeds",
    ):
        assert text in found.stdout


def test_practice_is_told_as_a_story() -> None:
    """What was missed, today's plan, the progress, and the table."""
    found = RUNNER.invoke(
        app, ["demo", "--learn", "--seeds", "1"], catch_exceptions=False
    )

    for text in (
        "What seed 1 called good although it was not:",
        "Progress of J.Doe",
        "Today",
        "Put in and found again, 1 seeds",
    ):
        assert text in found.stdout


def test_one_after_the_other() -> None:
    """Both at once are refused with a sentence."""
    with pytest.raises(UsageError, match="one after the other"):
        RUNNER.invoke(app, ["demo", "--learn", "--observe"], catch_exceptions=False)
