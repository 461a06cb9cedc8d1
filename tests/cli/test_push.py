"""The command push: where it goes, what it wants to know first, what it says."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer import Typer
from typer.testing import CliRunner

from voicecheck.cli.push import TOKEN, push, summary
from voicecheck.errors import UsageError, VoicecheckError
from voicecheck.store.fleet import open_fleet
from voicecheck.store.transfer import Transfer
from voicecheck.testing.pushing import JOURNAL, walked, whole

app = Typer()
app.command()(push)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give every test a home folder of its own, and no token."""
    folder = tmp_path / "home"
    monkeypatch.setenv("VOICECHECK_HOME", str(folder))
    monkeypatch.delenv("VOICECHECK_STORE_URL", raising=False)
    monkeypatch.delenv(TOKEN, raising=False)
    return folder


def run(*arguments: str) -> tuple[int, str, str]:
    """Run the command; return exit status, standard output and standard error."""
    result = CliRunner().invoke(app, list(arguments))
    if isinstance(result.exception, VoicecheckError):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


def test_into_a_file(home: Path, tmp_path: Path) -> None:
    """As words, and as JSON; the second time nothing is new."""
    walked(home, bad=True)
    far = str(tmp_path / "far.sqlite3")

    status, words, _ = run("--to", far)
    _, data, _ = run("--to", far, "--verify", "--json")

    assert status == 0
    assert words.startswith("Brought over: 1 walks with ")
    assert json.loads(data)["unchanged"] == 6
    assert json.loads(data)["cut"] == ""
    with open_fleet(far) as there, open_fleet(home / JOURNAL) as here:
        assert whole(there) == whole(here)


def test_a_conflict_is_named(home: Path, tmp_path: Path) -> None:
    """Both sides are kept, and the exit status is 0."""
    other, far = tmp_path / "other", tmp_path / "far.sqlite3"
    walked(other, operator="M.Roe")
    walked(home, operator="J.Doe")
    run("--to", str(far))

    home.rename(tmp_path / "first")
    other.rename(home)
    status, words, _ = run("--to", str(far))

    assert status == 0
    assert "L-12: two walks were under way at the same time, both are kept" in words


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--to", "https://fleet.example"], "VOICECHECK_PUSH_TOKEN"),
        (["--to", "https://f.example", "--token-file", "none"], "cannot be read"),
        (["--to", "far.sqlite3", "--token-file", "none"], "for --to https"),
        (["--to", "far.sqlite3", "--ca", "none"], "for --to https"),
        (["--to", "mysql://host/name"], "no address of a store"),
    ],
    ids=["no token", "no file", "token for a file", "ca for a file", "other database"],
)
def test_wrong_use_is_told_before_anything_is_sent(
    arguments: list[str], words: str
) -> None:
    """Each sentence says what to do."""
    with pytest.raises(UsageError, match=words):
        run(*arguments)


@pytest.mark.parametrize("text", ["", "\n\n", "# only a remark\n"])
def test_an_empty_token_file_is_told(tmp_path: Path, text: str) -> None:
    """It names the file."""
    file = tmp_path / "token"
    file.write_text(text, encoding="utf-8")

    with pytest.raises(UsageError, match="is empty"):
        run("--to", "https://fleet.example", "--token-file", str(file))


def test_no_option_takes_the_token_itself() -> None:
    """Every process of the computer could see it."""
    out = CliRunner().invoke(app, ["--help"]).stdout

    assert "--token-file" in out
    assert "--token " not in out


def test_the_own_store_is_no_far_end(home: Path) -> None:
    """A push to itself would say that all is safe elsewhere."""
    with pytest.raises(UsageError, match="this very store"):
        run("--to", str(home / JOURNAL))


def test_a_cut_and_a_refusal_are_named() -> None:
    """In capitals: they must not be read over."""
    text = summary(Transfer(walks=3, problems=("walk x: altered",), cut="link lost"))

    assert "NOT brought over: walk x: altered" in text
    assert text.endswith("CUT: link lost")
