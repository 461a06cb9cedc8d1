"""What every journal promises, asked of the real one and of its double."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from sqlalchemy import delete, insert, update

from voicecheck.clock import ManualClock
from voicecheck.errors import JournalDamaged, JournalError, RecordNotFound
from voicecheck.round import events as ev
from voicecheck.round.answers import Good, Yes
from voicecheck.store import tables
from voicecheck.store.journal import SqlJournal, open_journal
from voicecheck.store.ports import Journal, RecordRow
from voicecheck.store.rows import entry_values
from voicecheck.testing.memory_journal import MemoryJournal

A = "00000000-0000-4000-8000-00000000000a"
B = "00000000-0000-4000-8000-00000000000b"
C = "00000000-0000-4000-8000-00000000000c"
STARTED = ev.WalkStarted(
    unit="L-12",
    operator="J.Doe",
    checklist="small",
    checklist_version="1",
    checklist_sha256="ab" * 32,
)
HOW = ev.How(mode="spoken", confirmed_by="explicit", words=("yes",), confidence=0.9)


@pytest.fixture(
    params=["sqlite", "memory", pytest.param("postgres", marks=pytest.mark.database)]
)
def journal(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Journal]:
    """Give each journal in turn, empty."""
    if request.param == "memory":
        yield MemoryJournal()
        return
    if request.param == "postgres":
        url = request.getfixturevalue("postgres_url")
        with open_journal(url) as opened:
            with opened._engine.begin() as connection:
                for table in reversed(tables.metadata.sorted_tables):
                    if table is not tables.journal_format:
                        connection.execute(delete(table))
            yield opened
        return
    with open_journal(tmp_path / "journal.sqlite3") as opened:
        yield opened


def filled(journal: Journal, walk_id: str = A) -> None:
    """Put five entries into a walk, a minute apart."""
    clock = ManualClock()
    yes = ev.AnswerConfirmed(checkpoint_id="parked", answer=Yes())
    good = ev.AnswerConfirmed(checkpoint_id="horn", answer=Good())
    journal.append(walk_id, STARTED, at=clock.now())
    for event, how in (
        (yes, HOW),
        (ev.Observed(kind="noinput"), None),
        (good, HOW),
        (ev.WalkPaused(), None),
    ):
        clock.advance(60)
        journal.append(walk_id, event, at=clock.now(), how=how)


def altered(journal: Journal, seq: int, **values: object) -> None:
    """Change columns of one stored entry of walk A behind the journal's back."""
    if isinstance(journal, MemoryJournal):
        rows = journal.stored[A]
        rows[seq - 1] = replace(rows[seq - 1], **values)  # type: ignore[arg-type]
        return
    assert isinstance(journal, SqlJournal)
    place = (tables.entries.c.walk_id == A) & (tables.entries.c.seq == seq)
    with journal._engine.begin() as connection:
        connection.execute(update(tables.entries).where(place).values(**values))


def rewritten(journal: Journal, order: list[int]) -> None:
    """Keep only these entries of walk A, in this order, renumbered from 1."""
    if isinstance(journal, MemoryJournal):
        rows = journal.stored[A]
        journal.stored[A] = [
            replace(rows[seq - 1], seq=place) for place, seq in enumerate(order, 1)
        ]
        return
    assert isinstance(journal, SqlJournal)
    stored = journal._stored(A)[1]
    with journal._engine.begin() as connection:
        connection.execute(delete(tables.entries))
        for place, seq in enumerate(order, 1):
            entry = replace(stored[seq - 1], seq=place)
            connection.execute(insert(tables.entries).values(**entry_values(entry)))


def removed(journal: Journal, seq: int) -> None:
    """Take one entry out of walk A and leave the numbers as they are."""
    if isinstance(journal, MemoryJournal):
        del journal.stored[A][seq - 1]
        return
    assert isinstance(journal, SqlJournal)
    place = (tables.entries.c.walk_id == A) & (tables.entries.c.seq == seq)
    with journal._engine.begin() as connection:
        connection.execute(delete(tables.entries).where(place))


def unlisted(journal: Journal) -> None:
    """Take walk A out of the list of walks and leave its entries."""
    if isinstance(journal, MemoryJournal):
        del journal.listed[A]
        return
    assert isinstance(journal, SqlJournal)
    if journal._engine.dialect.name == "postgresql":
        pytest.skip("the server keeps a walk as long as it has entries")
    with journal._engine.connect() as connection:
        connection.exec_driver_sql("COMMIT")
        connection.exec_driver_sql("PRAGMA foreign_keys=OFF")
        connection.execute(delete(tables.walks))


def record(journal: Journal) -> RecordRow:
    """Return a record that fits walk A as it stands."""
    return RecordRow(
        record_id=A,
        path=f"records/{A}.json",
        content_sha256="11" * 32,
        file_sha256="22" * 32,
        status="signed",
        outcome="may_work",
        head=journal.walks()[0].head,
    )


def test_entries_come_back_in_order(journal: Journal) -> None:
    """What went in comes out, numbered from 1, with time and how."""
    filled(journal)

    entries = journal.entries(A)

    assert [entry.seq for entry in entries] == [1, 2, 3, 4, 5]
    assert entries[0].event == STARTED
    assert entries[1].how == HOW
    assert entries[1].at_utc == "2026-01-05T06:01:00.000Z"
    assert entries[2].event == ev.Observed(kind="noinput")
    assert entries[2].how is None


def test_append_returns_what_entries_return(journal: Journal) -> None:
    """The entry that append returns is the one that is kept."""
    entry = journal.append(A, STARTED, at=ManualClock().now())

    assert journal.entries(A) == (entry,)


def test_each_entry_carries_the_hash_of_the_one_before(journal: Journal) -> None:
    """The entries of a walk form one chain from 64 zeros on."""
    filled(journal)

    entries = journal.entries(A)

    assert entries[0].previous_sha256 == "0" * 64
    for before, entry in pairwise(entries):
        assert entry.previous_sha256 == before.sha256


def test_walks_are_listed_newest_first(journal: Journal) -> None:
    """The list of walks says what was begun, when, and where it stands."""
    clock = ManualClock()
    journal.append(A, STARTED, at=clock.now())
    clock.advance(3600)
    journal.append(B, replace(STARTED, unit="L-13"), at=clock.now())

    walks = journal.walks()

    assert [(walk.walk_id, walk.unit) for walk in walks] == [(B, "L-13"), (A, "L-12")]
    assert walks[1].started_utc == "2026-01-05T06:00:00.000Z"
    assert walks[1].head == journal.entries(A)[-1].head


def test_unfinished_walks_of_a_unit(journal: Journal) -> None:
    """Of this unit only, without those that have a record, the newest first."""
    clock = ManualClock()
    for walk_id, unit in ((A, "L-12"), (B, "L-12"), (C, "L-13")):
        journal.append(walk_id, replace(STARTED, unit=unit), at=clock.now())
        clock.advance(3600)

    assert [walk.walk_id for walk in journal.unfinished("L-12")] == [B, A]
    row = RecordRow(
        record_id=A,
        path="records/a.json",
        content_sha256="ab" * 32,
        file_sha256="cd" * 32,
        status="signed",
        outcome="may_work",
        head=journal.entries(A)[-1].head,
    )
    journal.register(row)
    assert [walk.walk_id for walk in journal.unfinished("L-12")] == [B]
    assert journal.unfinished("L-99") == ()


def test_walks_do_not_mix(journal: Journal) -> None:
    """Two walks written in turn are two chains."""
    for walk_id in (A, B):
        journal.append(walk_id, STARTED, at=ManualClock().now())
    for walk_id in (A, B, A):
        journal.append(walk_id, ev.WalkPaused(), at=ManualClock().now())

    assert [len(journal.entries(walk_id)) for walk_id in (A, B)] == [3, 2]
    assert journal.verify(A).ok
    assert journal.verify(B).ok


def test_a_walk_begins_with_its_start(journal: Journal) -> None:
    """Nothing can be added to a walk that has not begun."""
    with pytest.raises(JournalError, match="not begun"):
        journal.append(A, ev.WalkPaused(), at=ManualClock().now())

    assert journal.walks() == ()


def test_a_walk_begins_once(journal: Journal) -> None:
    """A second start is refused and leaves the first alone."""
    filled(journal)

    with pytest.raises(JournalError, match="begun already"):
        journal.append(A, STARTED, at=ManualClock().now())

    assert len(journal.entries(A)) == 5


def test_a_second_writer_is_refused(journal: Journal) -> None:
    """Who does not know the newest entry cannot add one after it."""
    first = journal.append(A, STARTED, at=ManualClock().now())
    journal.append(A, ev.WalkPaused(), at=ManualClock().now(), after=first.head)

    with pytest.raises(JournalError, match="another voicecheck"):
        journal.append(A, ev.WalkPaused(), at=ManualClock().now(), after=first.head)

    assert len(journal.entries(A)) == 2


def test_what_json_cannot_hold_is_refused_whole(journal: Journal) -> None:
    """An event that cannot be written leaves no trace."""
    filled(journal)
    note = ev.NoteKept(checkpoint_id=None, text="half a letter \ud800")

    with pytest.raises(JournalError, match="cannot be kept"):
        journal.append(A, note, at=ManualClock().now())

    assert len(journal.entries(A)) == 5
    assert journal.verify(A).ok


def test_an_unknown_walk_is_an_error(journal: Journal) -> None:
    """Asking for a walk that is not there says how to see those that are."""
    for ask in (journal.entries, journal.verify):
        with pytest.raises(RecordNotFound, match="records list"):
            ask(A)


def test_a_whole_walk_verifies(journal: Journal) -> None:
    """A journal that nobody touched has no problems."""
    filled(journal)

    found = journal.verify(A)

    assert (found.ok, found.entries, found.problems) == (True, 5, ())


@pytest.mark.parametrize("seq", [1, 3, 5])
@pytest.mark.parametrize(
    "values",
    [
        {"payload": '{"event":{"type":"walk_paused","cause":"x"},"how":null}'},
        {"at_utc": "2026-01-05T07:00:00.000Z"},
        {"kind": "observed_not"},
        {"sha256": "0" * 64},
        {"previous_sha256": "1" * 64},
    ],
    ids=lambda values: next(iter(values)),
)
def test_an_altered_entry_is_found(
    journal: Journal, seq: int, values: dict[str, str]
) -> None:
    """Any change in any column of any entry is found and blocks reading."""
    filled(journal)

    altered(journal, seq, **values)

    assert not journal.verify(A).ok
    with pytest.raises(JournalDamaged, match="altered"):
        journal.entries(A)


@pytest.mark.parametrize("seq", [1, 2, 3, 4, 5])
def test_a_removed_entry_is_found(journal: Journal, seq: int) -> None:
    """A missing entry is found at the beginning, in the middle and at the end."""
    filled(journal)

    removed(journal, seq)

    assert any("missing" in problem for problem in journal.verify(A).problems)


@pytest.mark.parametrize(
    "order",
    [[1, 3, 2, 4, 5], [2, 1, 3, 4, 5], [1, 2, 3, 5, 4], [1, 2, 4, 5], [1, 2, 2, 3, 4]],
    ids=str,
)
def test_reordered_entries_are_found(journal: Journal, order: list[int]) -> None:
    """Entries that were moved, closed up or doubled are found by their hashes."""
    filled(journal)

    rewritten(journal, order)

    assert not journal.verify(A).ok


@pytest.mark.parametrize("kept", [0, 1, 4])
def test_a_cut_off_end_is_found(journal: Journal, kept: int) -> None:
    """Entries missing at the end are found by the head in the list of walks."""
    filled(journal)

    for seq in range(5, kept, -1):
        removed(journal, seq)

    assert any("missing" in problem for problem in journal.verify(A).problems)
    with pytest.raises(JournalDamaged):
        journal.entries(A)


def test_a_walk_taken_off_the_list_is_found(journal: Journal) -> None:
    """Entries without a place in the list of walks are not passed over."""
    filled(journal)

    unlisted(journal)

    assert journal.walks() == ()
    assert journal.ids() == (A,)
    assert not journal.verify(A).ok


def test_a_record_is_remembered(journal: Journal) -> None:
    """A registered record stands in the list of walks."""
    filled(journal)
    row = record(journal)

    journal.register(row)
    journal.register(row)

    assert journal.walks()[0].record == row
    assert journal.verify(A).ok


def test_a_walk_with_a_record_takes_no_more_events(journal: Journal) -> None:
    """After the record there is no more to say."""
    filled(journal)
    journal.register(record(journal))

    with pytest.raises(JournalError, match="has its record"):
        journal.append(A, ev.WalkResumed(), at=ManualClock().now())


def test_a_second_record_is_refused(journal: Journal) -> None:
    """A walk has one record."""
    filled(journal)
    row = record(journal)
    journal.register(row)

    with pytest.raises(JournalError, match="record already"):
        journal.register(replace(row, outcome="out_of_service"))

    assert journal.walks()[0].record == row


def test_a_stale_record_is_refused(journal: Journal) -> None:
    """A record made before the newest entry is not the record of the walk."""
    filled(journal)
    row = record(journal)
    journal.append(A, ev.WalkResumed(), at=ManualClock().now())

    with pytest.raises(JournalError, match="went on"):
        journal.register(row)


def test_a_record_of_an_unknown_walk_is_refused(journal: Journal) -> None:
    """There is no record without a walk."""
    filled(journal)

    with pytest.raises(RecordNotFound):
        journal.register(replace(record(journal), record_id=B))


def test_a_checklist_text_is_kept_by_its_hash(journal: Journal) -> None:
    """Keeping a text twice keeps it once; an unknown hash gives None."""
    sha256 = journal.keep_checklist("바퀴")

    assert journal.keep_checklist("바퀴") == sha256
    assert journal.checklist_text(sha256) == "바퀴"
    assert journal.checklist_text("0" * 64) is None


def test_closing_twice_is_no_error(journal: Journal) -> None:
    """A journal can be let go of at any time."""
    closers: list[Callable[[], None]] = [journal.close, journal.close]

    results = [close() for close in closers]

    assert results == [None, None]
