"""The commands on records: what they print, and how they end."""

from __future__ import annotations

import csv
import json
import sqlite3
from pathlib import Path

import jsonschema
import pytest
from typer.testing import CliRunner

from voicecheck.cli.records import app
from voicecheck.clock import ManualClock
from voicecheck.errors import RecordNotFound, UsageError
from voicecheck.record.document import schema
from voicecheck.store.database_far_end import DatabaseFarEnd
from voicecheck.store.fleet import open_fleet
from voicecheck.store.journal import default_path, open_journal
from voicecheck.store.session import WalkSession
from voicecheck.store.transfer import transfer
from voicecheck.testing.filling import fill
from voicecheck.testing.small_checklist import bad_answers, small_checklist

DONE = "aaaa0000-0000-4000-8000-000000000000"
OPEN = "bbbb0000-0000-4000-8000-000000000000"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give every test a home folder of its own."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path))
    return tmp_path


@pytest.fixture
def record(home: Path) -> Path:
    """Give a finished walk on L-12 and an unfinished one, later, on L-13."""
    clock = ManualClock()
    with open_journal() as journal:
        done = WalkSession.start(
            journal,
            clock,
            small_checklist(),
            unit="L-12",
            operator="J.Doe",
            new_id=lambda: DONE,
        )
        fill(done, bad_answers())
        clock.advance(60)
        WalkSession.start(
            journal, clock, small_checklist(), unit="L-13", new_id=lambda: OPEN
        )
        return done.finish().path


def run(*arguments: str) -> tuple[int, str, str]:
    """Run a command; return exit status, standard output and standard error."""
    result = CliRunner().invoke(app, list(arguments), catch_exceptions=True)
    if isinstance(result.exception, Exception):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


def damage(sql: str) -> None:
    """Change the journal behind the program's back."""
    with sqlite3.connect(default_path()) as connection:
        connection.execute(sql)
    connection.close()


def test_list_shows_finished_and_unfinished_walks(record: Path) -> None:
    """The newest first, each with its unit, status and decision."""
    status, out, _ = run("list")

    first, second = out.splitlines()
    assert status == 0
    assert first.split()[0] == "bbbb0000"
    assert "L-13" in first
    assert "unfinished" in first
    assert second.split()[0] == "aaaa0000"
    assert "signed      out of service" in second


def test_list_of_one_unit(record: Path) -> None:
    """Only the walks of that machine."""
    assert "L-13" not in run("list", "--unit", "L-12")[1]


def test_list_for_programs(record: Path) -> None:
    """JSON with whole ids and times in UTC."""
    walks = json.loads(run("list", "--json")[1])

    assert [walk["record_id"] for walk in walks] == [OPEN, DONE]
    assert walks[1]["started_utc"] == "2026-01-05T06:00:00.000Z"
    assert walks[1]["outcome"] == "out_of_service"
    assert walks[0]["outcome"] is None


def test_list_of_nothing() -> None:
    """With no walks yet, it says how to begin one."""
    status, out, _ = run("list")

    assert status == 0
    assert "There are no walks yet" in out


def test_list_says_how_many_it_left_out(home: Path) -> None:
    """Twenty are shown; the rest is counted, and shown on request."""
    with open_journal() as journal:
        for _ in range(23):
            WalkSession.start(journal, ManualClock(), small_checklist(), unit="L-12")

    status, out, err = run("list")

    assert (status, len(out.splitlines())) == (0, 20)
    assert "3 older ones" in err
    assert len(run("list", "--all")[1].splitlines()) == 23


def test_show_says_the_decision_first(record: Path) -> None:
    """The id may be cut to four characters."""
    status, out, _ = run("show", "aaaa")

    assert status == 0
    assert out.startswith("OUT OF SERVICE\n")
    assert DONE in out


def test_show_for_programs_is_the_record_itself(record: Path) -> None:
    """Byte by byte the file, which follows the published schema."""
    _, out, _ = run("show", DONE, "--json")

    assert json.loads(out) == json.loads(record.read_text("utf-8"))
    assert jsonschema.Draft202012Validator(schema()).is_valid(json.loads(out))


@pytest.mark.parametrize("command", ["show", "export", "verify"])
@pytest.mark.parametrize(
    ("record_id", "error"), [("aaa", UsageError), ("cccc", RecordNotFound)]
)
def test_a_wrong_id_is_wrong_use(
    record: Path, command: str, record_id: str, error: type[Exception]
) -> None:
    """Too short or unknown ids are errors that the program reports with status 2."""
    with pytest.raises(error):
        run(command, record_id)


@pytest.mark.parametrize("command", ["show", "export"])
def test_an_unfinished_walk_is_not_shown_as_a_record(
    record: Path, command: str
) -> None:
    """The error says how to go on with it."""
    with pytest.raises(RecordNotFound, match='--resume --unit "L-13"'):
        run(command, OPEN)


def test_export_json_is_the_file_itself(record: Path, tmp_path: Path) -> None:
    """So that its hashes still hold elsewhere."""
    out = tmp_path / "out" / "walk.json"

    status, printed, _ = run("export", DONE, "--out", str(out))

    assert (status, printed) == (0, "")
    assert out.read_bytes() == record.read_bytes()
    assert run("export", DONE)[1].encode() == record.read_bytes()


def test_export_csv(record: Path, tmp_path: Path) -> None:
    """One line for each of the ten answers."""
    out = tmp_path / "walk.csv"

    run("export", DONE, "--format", "csv", "--out", str(out))

    with out.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 10
    assert {row["record_id"] for row in rows} == {DONE}


def test_export_html(record: Path, tmp_path: Path) -> None:
    """The page of the record."""
    out = tmp_path / "walk.html"

    run("export", DONE, "--format", "html", "--out", str(out))

    assert "Out of service" in out.read_text("utf-8")


def test_verify_of_whole_walks(record: Path) -> None:
    """Nothing altered: status 0."""
    status, out, _ = run("verify")

    assert status == 0
    assert "Walks checked: 2; nothing was altered." in out


def test_verify_for_programs(record: Path) -> None:
    """JSON says for each walk what was found."""
    data = json.loads(run("verify", DONE, "--json")[1])

    assert data["ok"] is True
    assert data["walks"][0]["record_id"] == DONE
    assert data["walks"][0]["status"] == "signed"


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE entries SET payload = replace(payload, 'loose', 'dirty')",
        "DELETE FROM entries WHERE seq = 5",
        "DELETE FROM entries WHERE seq = 15",
        "UPDATE entries SET seq = 99 WHERE seq = 5",
        "UPDATE records SET outcome = 'may_work'",
        "UPDATE walks SET unit = 'L-99'",
        "DELETE FROM walks",
        "DELETE FROM checklists",
    ],
)
def test_verify_finds_what_was_done_to_the_journal(record: Path, sql: str) -> None:
    """Altered, removed or moved: status 1, and it says where."""
    damage(sql)

    status, out, _ = run("verify")
    data = json.loads(run("verify", "--json")[1])

    assert status == 1
    assert "DAMAGED" in out
    assert data["ok"] is False


def test_verify_finds_what_was_done_to_a_file(record: Path) -> None:
    """A record changed in its file: status 1."""
    record.write_text(record.read_text("utf-8").replace("loose", "dirty"), "utf-8")

    assert run("verify", DONE)[0] == 1
    assert run("verify", OPEN)[0] == 0


def test_verify_finds_a_record_without_a_journal(record: Path) -> None:
    """Records whose journal was taken away do not pass as checked."""
    default_path().unlink()

    status, out, _ = run("verify")

    assert status == 1
    assert "the journal knows nothing of this record" in out


@pytest.mark.parametrize("command", ["show", "export"])
def test_a_damaged_record_is_neither_shown_nor_exported(
    record: Path, command: str
) -> None:
    """It never looks like a whole one: status 1, and nothing on standard output."""
    damage("UPDATE entries SET payload = replace(payload, 'loose', 'dirty')")

    status, out, err = run(command, DONE)

    assert (status, out) == (1, "")
    assert "DAMAGED" in err


def test_a_damaged_walk_is_listed_as_damaged(record: Path) -> None:
    """Whatever the list of walks says of its end."""
    damage("UPDATE records SET outcome = 'may_work'")

    _, out, _ = run("list", "--unit", "L-12")
    (walk,) = json.loads(run("list", "--unit", "L-12", "--json")[1])

    assert "DAMAGED" in out
    assert "may work" not in out
    assert (walk["status"], walk["outcome"]) == ("damaged", None)


@pytest.mark.parametrize("command", ["list", "show", "export", "verify"])
def test_every_command_has_help_with_an_example(command: str) -> None:
    """Help names the command as one types it."""
    status, out, _ = run(command, "--help")

    assert status == 0
    assert f"Example: voicecheck records {command}" in " ".join(out.split())


def test_a_record_that_came_by_push_is_like_one_of_our_own(
    record: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Shown, exported byte for byte and verified, though its file is elsewhere."""
    far = tmp_path / "office"
    with open_fleet() as near, open_fleet(far / "journal.sqlite3") as store:
        assert transfer(near, DatabaseFarEnd(store)).ok
    monkeypatch.setenv("VOICECHECK_HOME", str(far))

    status, shown, _ = run("show", DONE)
    _, exported, _ = run("export", DONE)
    verified, told, _ = run("verify")

    assert (status, verified) == (0, 0)
    assert "L-12" in shown
    assert exported == record.read_text("utf-8")
    assert "Walks checked: 2; nothing was altered." in told
    assert not (far / "records").exists()


def test_an_altered_record_that_came_by_push_is_not_shown(
    record: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its text in the store is held against its hash, like a file."""
    far = tmp_path / "office"
    with open_fleet() as near, open_fleet(far / "journal.sqlite3") as store:
        transfer(near, DatabaseFarEnd(store))
    monkeypatch.setenv("VOICECHECK_HOME", str(far))
    damage("UPDATE record_texts SET text = replace(text, 'J.Doe', 'M.Roe')")

    status, out, told = run("show", DONE)

    assert (status, out) == (1, "")
    assert "was altered" in told
