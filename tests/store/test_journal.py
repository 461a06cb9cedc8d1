"""The journal in SQLite: durable, and clear about what goes wrong."""

from __future__ import annotations

import random
import shutil
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import event as sql_event

from voicecheck.clock import ManualClock
from voicecheck.errors import JournalDamaged, JournalError, VoicecheckError
from voicecheck.round import events as ev
from voicecheck.round.answers import Good
from voicecheck.store.journal import SqlJournal, default_path, open_journal
from voicecheck.store.ports import Entry

A = "00000000-0000-4000-8000-00000000000a"
STARTED = ev.WalkStarted(
    unit="L-12",
    operator="J.Doe",
    checklist="small",
    checklist_version="1",
    checklist_sha256="ab" * 32,
)
NOON = ManualClock().now()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Give the place of a journal."""
    return tmp_path / "journal.sqlite3"


@pytest.fixture
def journal(path: Path) -> Iterator[SqlJournal]:
    """Give an open journal with a walk of one entry in it."""
    with open_journal(path, busy_timeout_s=0) as opened:
        opened.append(A, STARTED, at=NOON)
        yield opened


def answered(place: int) -> ev.AnswerConfirmed:
    """Return the answer of some checkpoint."""
    return ev.AnswerConfirmed(checkpoint_id=f"point_{place}", answer=Good())


def restricted(journal: SqlJournal, pragma: str) -> None:
    """Let the journal connect anew, with a restriction of SQLite on it."""
    journal._engine.dispose()

    @sql_event.listens_for(journal._engine, "connect")
    def _restrict(connection: sqlite3.Connection, _: object) -> None:
        connection.execute(pragma)


def test_entries_outlive_the_program(journal: SqlJournal, path: Path) -> None:
    """What was appended is there when the journal is opened again."""
    entry = journal.append(A, answered(1), at=NOON)
    journal.close()

    with open_journal(path) as again:
        assert again.entries(A)[-1] == entry


def test_an_append_is_on_the_disk_when_it_returns(journal: SqlJournal) -> None:
    """Write-ahead log with synchronous=FULL: the log is flushed at every commit.

    Source: sqlite.org/pragma.html, synchronous: 2 is FULL.
    """
    with journal._writing.begin() as connection:
        mode = connection.exec_driver_sql("PRAGMA journal_mode").scalar()
        level = connection.exec_driver_sql("PRAGMA synchronous").scalar()

    assert (mode, level) == ("wal", 2)


def test_another_connection_sees_an_entry_at_once(
    journal: SqlJournal, path: Path
) -> None:
    """Nothing waits in a transaction after append has returned."""
    journal.append(A, answered(1), at=NOON)

    with open_journal(path) as other:
        assert other.entries(A) == journal.entries(A)


def test_the_journal_lies_at_home(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a path, the journal is in the folder of VOICECHECK_HOME."""
    monkeypatch.setenv("VOICECHECK_HOME", str(tmp_path / "home"))

    with open_journal() as opened:
        opened.append(A, STARTED, at=NOON)

    assert default_path().parent == tmp_path / "home"
    assert default_path().is_file()


def test_a_full_disk_loses_nothing_that_was_kept(journal: SqlJournal) -> None:
    """When there is no room, append fails whole; with room again it goes on."""
    pages = sqlite_pages(journal)
    restricted(journal, f"PRAGMA max_page_count={pages + 4}")
    kept = 1
    with pytest.raises(JournalError, match="disk is full; make room"):
        for place in range(10_000):
            journal.append(A, answered(place), at=NOON)
            kept += 1

    assert kept > 1
    assert len(journal.entries(A)) == kept
    assert journal.verify(A).ok

    restricted(journal, "PRAGMA max_page_count=1000000")
    journal.append(A, answered(0), at=NOON)
    assert len(journal.entries(A)) == kept + 1


def sqlite_pages(journal: SqlJournal) -> int:
    """Return how many pages the database has."""
    with journal._engine.begin() as connection:
        return int(connection.exec_driver_sql("PRAGMA page_count").scalar() or 0)


def test_a_locked_journal_says_so(journal: SqlJournal, path: Path) -> None:
    """Another program that writes is named as the reason; nothing is written."""
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")

    with pytest.raises(JournalError, match="another program holds it"):
        journal.append(A, answered(1), at=NOON)
    other.execute("ROLLBACK")
    other.close()

    journal.append(A, answered(1), at=NOON)
    assert len(journal.entries(A)) == 2


def test_a_read_only_journal_says_so(journal: SqlJournal) -> None:
    """A journal that may not be written can still be read."""
    restricted(journal, "PRAGMA query_only=ON")

    with pytest.raises(JournalError, match="may not be written"):
        journal.append(A, answered(1), at=NOON)

    assert len(journal.entries(A)) == 1


@pytest.mark.parametrize(
    "content", [b"not a database at all, just some text " * 40, b"\x00" * 4096]
)
def test_a_file_that_is_no_database_is_left_alone(path: Path, content: bytes) -> None:
    """A foreign file gives an error and is not touched."""
    path.write_bytes(content)

    with pytest.raises(JournalError, match="it is no journal"):
        open_journal(path)

    assert path.read_bytes() == content


def test_a_folder_in_the_place_of_the_journal(path: Path) -> None:
    """What cannot be opened gives a sentence."""
    path.mkdir()

    with pytest.raises(JournalError, match="cannot be opened"):
        open_journal(path)


def test_a_file_in_the_place_of_the_folder(path: Path) -> None:
    """A folder that cannot be made gives a sentence."""
    path.write_text("in the way")

    with pytest.raises(JournalError, match="cannot be made"):
        open_journal(path / "journal.sqlite3")


def test_a_journal_of_a_later_format_is_refused(
    journal: SqlJournal, path: Path
) -> None:
    """An older program does not write into a newer format."""
    with journal._engine.begin() as connection:
        connection.exec_driver_sql("UPDATE journal_format SET version = 99")

    with pytest.raises(JournalError, match="install a newer voicecheck"):
        open_journal(path)


def test_a_kept_checklist_that_was_altered_is_refused(journal: SqlJournal) -> None:
    """A checklist's text is held against its hash whenever it is read."""
    sha256 = journal.keep_checklist("text")
    with journal._engine.begin() as connection:
        connection.exec_driver_sql("UPDATE checklists SET text = 'other'")

    with pytest.raises(JournalDamaged, match="altered"):
        journal.checklist_text(sha256)


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE entries SET seq = 'x' WHERE seq = 2",
        "UPDATE entries SET payload = x'ff' WHERE seq = 2",
        "UPDATE entries SET at_utc = 5 WHERE seq = 2",
        "UPDATE walks SET head_seq = 'x'",
        "UPDATE walks SET head_sha256 = 'x'",
        "UPDATE walks SET unit = 'L-13'",
        "UPDATE walks SET started_utc = '2020-01-01T00:00:00.000Z'",
    ],
)
def test_odd_values_in_columns_are_found(journal: SqlJournal, sql: str) -> None:
    """SQLite lets any type into any column; the check must not stumble over it."""
    journal.append(A, answered(1), at=NOON)
    with journal._engine.begin() as connection:
        connection.exec_driver_sql(sql)

    assert not journal.verify(A).ok


def read_or_refused(path: Path) -> tuple[Entry, ...] | None:
    """Return the entries of the walk, or None when the journal says it cannot."""
    try:
        with open_journal(path) as damaged:
            return damaged.entries(A)
    except VoicecheckError:
        return None


def test_a_damaged_file_never_passes_for_a_whole_one(
    journal: SqlJournal, path: Path, tmp_path: Path
) -> None:
    """One byte changed anywhere: the same entries as before, or an error of ours."""
    for place in range(80):
        journal.append(A, answered(place), at=NOON)
    whole = journal.entries(A)
    journal.close()
    content = path.read_bytes()
    chance = random.Random(7)
    refused = 0

    for number in range(150):
        damaged = bytearray(content)
        damaged[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
        copy = tmp_path / f"{number}.sqlite3"
        copy.write_bytes(bytes(damaged))
        found = read_or_refused(copy)
        assert found in (whole, None)
        refused += found is None

    assert refused > 10


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9])
def test_a_cut_file_never_passes_for_a_whole_one(
    journal: SqlJournal, path: Path, tmp_path: Path, share: float
) -> None:
    """A file cut short gives an error of ours."""
    for place in range(60):
        journal.append(A, answered(place), at=NOON)
    journal.close()
    content = path.read_bytes()
    copy = tmp_path / "cut.sqlite3"
    copy.write_bytes(content[: int(len(content) * share)])

    assert read_or_refused(copy) is None


def test_a_lost_log_is_found_when_the_file_is_copied_without_it(
    journal: SqlJournal, path: Path, tmp_path: Path
) -> None:
    """A copy of the file alone, while the program runs, is older but whole."""
    for place in range(5):
        journal.append(A, answered(place), at=NOON)
    copy = tmp_path / "copy.sqlite3"
    shutil.copy(path, copy)

    found = read_or_refused(copy)

    assert found is None or found == journal.entries(A)[: len(found)]
