"""Finding records, reading them, and noticing what was done to them."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from voicecheck.clock import ManualClock
from voicecheck.errors import JournalDamaged, RecordNotFound, UsageError
from voicecheck.record.canonical import sha256_of
from voicecheck.round.events import WalkStarted
from voicecheck.store import archive
from voicecheck.store.ports import RecordRow, WalkRow
from voicecheck.store.session import WalkSession
from voicecheck.testing.filling import fill
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import bad_answers, small_checklist

A = "aaaa0000-0000-4000-8000-000000000000"
B = "aaaa1111-0000-4000-8000-000000000000"


class Office:
    """A journal and a folder with one finished walk."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.journal = MemoryJournal()
        self.session = self.start(A)
        fill(self.session, bad_answers())
        self.path = self.session.finish().path

    def start(self, walk_id: str) -> WalkSession:
        """Begin a walk."""
        return WalkSession.start(
            self.journal,
            ManualClock(),
            small_checklist(),
            unit="L-12" if walk_id == A else "L-13",
            folder=self.folder,
            new_id=lambda: walk_id,
        )

    @property
    def row(self) -> WalkRow:
        """The finished walk's place in the list of walks."""
        return self.journal.listed[A]

    @property
    def record(self) -> RecordRow:
        """What the list of walks remembers of the record."""
        assert self.row.record is not None
        return self.row.record

    def remember(self, **values: Any) -> None:
        """Change what the list of walks remembers of the record."""
        record = replace(self.record, **values)
        self.journal.listed[A] = replace(self.row, record=record)

    def rewrite(self, change: Callable[[dict[str, Any]], None]) -> None:
        """Change the record's file, and the hash of the file that is remembered."""
        document = json.loads(self.path.read_text("utf-8"))
        change(document)
        data = json.dumps(document).encode()
        self.path.write_bytes(data)
        self.remember(file_sha256=hashlib.sha256(data).hexdigest())

    def check(self, walk_id: str = A) -> archive.Check:
        """Check a walk."""
        row = self.journal.listed.get(walk_id)
        return archive.check(self.journal, self.folder, walk_id, row)


@pytest.fixture
def office(tmp_path: Path) -> Office:
    """Give an office with one finished walk."""
    return Office(tmp_path)


def test_a_record_is_found_by_how_its_id_begins(office: Office) -> None:
    """Four characters or more will do, in either case."""
    assert archive.find(office.journal, "aaaa") == A
    assert archive.find(office.journal, " AAAA0000-00 ") == A
    assert archive.find(office.journal, A) == A


@pytest.mark.parametrize("prefix", ["", "aaa", "a"])
def test_a_short_prefix_is_refused(office: Office, prefix: str) -> None:
    """Less than four characters too easily mean another record tomorrow."""
    with pytest.raises(UsageError, match="at least 4 characters"):
        archive.find(office.journal, prefix)


def test_a_prefix_of_two_records_is_refused(office: Office) -> None:
    """The error names those that begin so."""
    office.start(B)

    with pytest.raises(UsageError, match=rf"2 records .*{A}, {B}"):
        archive.find(office.journal, "aaaa")


def test_an_unknown_id_is_refused(office: Office) -> None:
    """The error says how to see all."""
    with pytest.raises(RecordNotFound, match="records list --all"):
        archive.find(office.journal, "bbbb")


def test_a_record_is_read_as_it_was_written(office: Office) -> None:
    """Byte by byte, so that its hashes still hold."""
    assert archive.read_record(office.folder, office.row) == office.path.read_bytes()


def test_an_unfinished_walk_has_no_record_to_read(office: Office) -> None:
    """The error says how to go on with it."""
    office.start(B)

    with pytest.raises(RecordNotFound, match="walk --resume --unit"):
        archive.read_record(office.folder, office.journal.listed[B])


def test_a_record_whose_file_is_gone(office: Office) -> None:
    """A missing file is damage, not absence."""
    office.path.unlink()

    with pytest.raises(JournalDamaged, match="cannot be read"):
        archive.read_record(office.folder, office.row)


def test_a_record_of_another_device_is_read_from_the_store(office: Office) -> None:
    """Its file lies there; the journal keeps the very bytes, held to their hash."""
    data = office.path.read_bytes()
    office.path.unlink()

    assert archive.read_record(office.folder, office.row, office.journal) == data
    assert office.check().ok
    office.journal.texts[A] = "{}"
    with pytest.raises(JournalDamaged, match="altered"):
        archive.read_record(office.folder, office.row, office.journal)


def test_a_whole_walk_passes(office: Office) -> None:
    """A finished walk that nobody touched has no problems."""
    check = office.check()

    assert (check.ok, check.status, check.problems) == (True, "signed", ())
    assert check.entries == len(office.journal.entries(A))


def test_a_walk_that_had_only_begun_passes(office: Office) -> None:
    """Killed between its first two entries: nothing is wrong with it."""
    started = WalkStarted(
        unit="L-13",
        operator="",
        checklist="small",
        checklist_version="1",
        checklist_sha256="0" * 64,
    )
    office.journal.append(B, started, at=ManualClock().now())
    row = office.journal.listed[B]

    check = archive.check(office.journal, office.folder, B, row)

    assert (check.status, check.problems) == ("unfinished", ())


def test_an_unfinished_walk_passes_as_unfinished(office: Office) -> None:
    """It never looks like a finished one."""
    office.start(B)

    assert (office.check(B).ok, office.check(B).status) == (True, "unfinished")


def rehashed(document: dict[str, Any]) -> None:
    """Make the record's own hash fit its content again."""
    document["content_sha256"] = sha256_of(document["content"])


def release(document: dict[str, Any]) -> None:
    """Say that the machine may work, and make the hash fit."""
    document["content"]["decision"]["outcome"] = "may_work"
    rehashed(document)


def other_unit(document: dict[str, Any]) -> None:
    """Say that it was another machine, and leave the hash."""
    document["content"]["unit"] = "L-13"


def other_words(document: dict[str, Any]) -> None:
    """Say that another phrase was heard."""
    document["how"][0]["words"] = ["good"]


def other_format(document: dict[str, Any]) -> None:
    """Say that the file has another format."""
    document["format"] = "something/9"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (release, "not what the journal says"),
        (other_unit, "does not have the hash"),
        (other_words, "beside its content"),
        (other_format, "not of the format"),
        (lambda document: document.pop("content"), "does not have the hash"),
        (lambda document: document.pop("walk"), "beside its content"),
    ],
)
def test_a_record_that_was_altered_is_found(
    office: Office, change: Callable[[dict[str, Any]], None], says: str
) -> None:
    """Even when the remembered hash of the file was changed with it."""
    office.rewrite(change)

    check = office.check()

    assert check.status == "damaged"
    assert any(says in problem for problem in check.problems)


def test_a_record_of_another_version_is_compared_by_its_content(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another version may word the rest otherwise; the content is always the same."""
    office = Office(tmp_path)
    monkeypatch.setattr(archive, "__version__", "99.0")
    office.rewrite(other_words)
    assert office.check().ok

    office.rewrite(release)
    assert not office.check().ok


def test_a_changed_file_is_found_by_its_hash(office: Office) -> None:
    """One space more in the file is found."""
    office.path.write_bytes(office.path.read_bytes() + b" ")

    assert any("was altered" in problem for problem in office.check().problems)


def test_a_file_that_is_no_longer_json_is_found(office: Office) -> None:
    """Also when its hash was changed with it."""
    office.path.write_bytes(b"{")
    office.remember(file_sha256=hashlib.sha256(b"{").hexdigest())

    assert office.check().problems == ("the record's file is not JSON",)


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"outcome": "may_work"}, "another end or decision"),
        ({"status": "stopped"}, "another end or decision"),
        ({"content_sha256": "0" * 64}, "another content"),
    ],
)
def test_an_altered_list_of_walks_is_found(
    office: Office, values: dict[str, str], says: str
) -> None:
    """What the list says of a record is held against the journal."""
    office.remember(**values)

    assert any(says in problem for problem in office.check().problems)


def test_a_broken_chain_is_found(office: Office) -> None:
    """The chain is looked at first; nothing is replayed from a broken one."""
    rows = office.journal.stored[A]
    rows[3] = replace(rows[3], payload=rows[3].payload.replace("yes", "no"))

    check = office.check()

    assert check.status == "damaged"
    assert check.problems == ("entry 4 was altered: its hash does not fit",)


def test_a_lost_checklist_is_found(office: Office) -> None:
    """Without the checklist the walk cannot be walked again, and that is said."""
    office.journal.checklists.clear()

    assert office.check().problems == ("the checklist of this walk is not kept",)


def test_an_altered_checklist_is_found(office: Office) -> None:
    """A rule softened afterwards does not change what was decided."""
    for sha256, text in office.journal.checklists.items():
        softer = text.replace("out_of_service", "may_work_with_defects")
        office.journal.checklists[sha256] = softer

    assert any("checklist" in problem for problem in office.check().problems)


def test_a_record_without_a_walk_is_found(office: Office) -> None:
    """Files of records that the journal does not know are strays."""
    assert archive.stray_records(office.journal, office.folder) == ()
    office.journal.listed.clear()

    assert archive.stray_records(office.journal, office.folder) == (office.path,)
    assert not office.check().ok
