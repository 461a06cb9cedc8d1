"""`voicecheck people`, as its user runs it."""

from __future__ import annotations

import json
from pathlib import Path
from uuid import uuid4

import pytest
from typer.testing import CliRunner, Result

from voicecheck.cli.main import app
from voicecheck.errors import NotAllowed
from voicecheck.people.events import PersonalEvent
from voicecheck.people.store import PeopleStore


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of the test's own, with a supervisor, an assessor and a learner."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))
    people("add", "C.Poe", "--role", "supervisor", "--by", "C.Poe")
    people("add", "M.Roe", "--role", "assessor", "--by", "C.Poe")
    people("add", "J.Doe", "--by", "J.Doe")
    return tmp_path


def people(*arguments: str, answer: str = "") -> Result:
    """Run one command."""
    return CliRunner().invoke(
        app, ["people", *arguments], input=answer, catch_exceptions=False
    )


def keep_one() -> None:
    """Let the learner have a result."""
    with PeopleStore() as store:
        store.append(
            PersonalEvent(
                key=uuid4(),
                subject="J.Doe",
                kind="learn/review/1",
                at_utc="2026-01-05T06:00:00.000Z",
                by="J.Doe",
                body={"card": "zone"},
            )
        )


def test_list_shows_roles_as_far_as_one_may_know() -> None:
    """In words, and as JSON."""
    words = people("list", "--as", "C.Poe").stdout
    data = json.loads(people("list", "--as", "J.Doe", "--json").stdout)

    assert "M.Roe" in words
    assert "assessor" in words
    assert [(one["id"], one["roles"]) for one in data] == [("J.Doe", ["learner"])]


def test_code_prints_the_code_alone() -> None:
    """So that it can be piped; what to do with it goes to the standard error."""
    found = people("code", "J.Doe", "--by", "J.Doe")

    with PeopleStore() as store:
        assert store.check_code("J.Doe", found.stdout.strip())
    assert "cannot be shown again" in found.stderr


def test_looks_show_who_was_refused() -> None:
    """A refusal is an error with a sentence, and stands among the looks."""
    with pytest.raises(NotAllowed, match=r"ask J\.Doe or a supervisor"):
        people("looks", "J.Doe", "--as", "M.Roe")
    told = people("looks", "J.Doe", "--as", "J.Doe").stdout
    data = json.loads(people("looks", "J.Doe", "--as", "J.Doe", "--json").stdout)

    assert "M.Roe" in told
    assert "REFUSED" in told
    assert (data[0]["reader"], data[0]["allowed"]) == ("M.Roe", False)


def test_export_writes_a_private_file(home: Path) -> None:
    """Or prints the same document."""
    keep_one()
    out = home / "j-doe.json"
    told = people("export", "J.Doe", "--as", "J.Doe", "--out", str(out)).stdout
    printed = json.loads(people("export", "J.Doe", "--as", "C.Poe").stdout)
    written = json.loads(out.read_text("utf-8"))

    assert "1 results of J.Doe" in told
    assert out.stat().st_mode & 0o777 == 0o600
    assert written["events"] == printed["events"]


def test_erase_asks_first(home: Path) -> None:
    """No leaves everything; yes leaves nothing of the person in the file."""
    keep_one()
    kept = people("erase", "J.Doe", "--by", "J.Doe", answer="n\n")
    assert kept.exit_code == 1
    assert b"J.Doe" in (home / "people.sqlite3").read_bytes()

    gone = people("erase", "J.Doe", "--by", "J.Doe", "--yes")
    assert "erased with 1 results" in gone.stdout
    assert b"J.Doe" not in (home / "people.sqlite3").read_bytes()
