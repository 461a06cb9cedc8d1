"""A walk bound to its journal: kept at once, taken up again, finished once."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from voicecheck.clock import ManualClock
from voicecheck.errors import (
    JournalDamaged,
    JournalError,
    RecordNotFound,
    UsageError,
    WalkError,
)
from voicecheck.record.canonical import sha256_of
from voicecheck.record.steps import SittingBegan
from voicecheck.round import events as ev
from voicecheck.round.answers import Yes
from voicecheck.round.checklist import Checklist
from voicecheck.round.walk import Phase
from voicecheck.store.session import WalkSession, new_walk_id
from voicecheck.store.wire import checklist_from_text
from voicecheck.testing.filling import fill
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import good_answers, small_checklist

CHECKLIST = small_checklist()
GOOD = good_answers()
HOUR_METER = ev.AnswerConfirmed(checkpoint_id="hour_meter", answer=GOOD["hour_meter"])
PARKED = ev.AnswerConfirmed(checkpoint_id="parked", answer=Yes())


class Yard:
    """A journal, a clock and a folder to walk in."""

    def __init__(self, folder: Path) -> None:
        self.journal = MemoryJournal()
        self.clock = ManualClock()
        self.folder = folder

    def start(
        self, unit: str = "L-12", checklist: Checklist = CHECKLIST
    ) -> WalkSession:
        """Begin a walk; a second later than the one before."""
        self.clock.advance(1)
        return WalkSession.start(
            self.journal, self.clock, checklist, unit=unit, folder=self.folder
        )

    def resume(
        self, unit: str = "L-12", checklist: Checklist = CHECKLIST, mode: str = "typed"
    ) -> WalkSession:
        """Take up a walk again."""
        self.clock.advance(1)
        return WalkSession.resume(
            self.journal,
            self.clock,
            checklist,
            unit=unit,
            mode=mode,
            folder=self.folder,
        )


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    """Give a place to walk in."""
    return Yard(tmp_path)


def test_a_walk_begins_in_the_journal(yard: Yard) -> None:
    """The start names unit, operator and checklist; the sitting mode and language."""
    session = WalkSession.start(
        yard.journal,
        yard.clock,
        CHECKLIST,
        unit=" L-12 ",
        operator="J.Doe",
        language="ko",
        mode="spoken",
        tool_version="9.9",
        folder=yard.folder,
    )

    first, second = yard.journal.entries(session.walk_id)
    assert first.event == ev.WalkStarted(
        unit="L-12",
        operator="J.Doe",
        checklist="small",
        checklist_version="1",
        checklist_sha256=CHECKLIST.sha256,
    )
    assert isinstance(second.event, SittingBegan)
    assert (second.event.mode, second.event.language) == ("spoken", "ko")
    assert session.walk.phase is Phase.ASKING


def test_the_checklist_is_kept_beside_the_walk(yard: Yard) -> None:
    """Years later the walk can be replayed on the checklist that was used."""
    session = yard.start()

    began = yard.journal.entries(session.walk_id)[1].event

    assert isinstance(began, SittingBegan)
    text = yard.journal.checklist_text(began.checklist_text_sha256)
    assert text is not None
    assert checklist_from_text(text) == CHECKLIST


@pytest.mark.parametrize(
    "names", [{"unit": "../x"}, {"unit": ""}, {"unit": "L-12", "operator": "=1"}]
)
def test_a_wrong_name_begins_nothing(yard: Yard, names: dict[str, str]) -> None:
    """A unit or operator that cannot be leaves no trace in the journal."""
    with pytest.raises(UsageError):
        WalkSession.start(
            yard.journal, yard.clock, CHECKLIST, folder=yard.folder, **names
        )

    assert yard.journal.walks() == ()


def test_walk_ids_are_random_uuids() -> None:
    """Two walks never share an id, and an id tells nothing."""
    one, other = new_walk_id(), new_walk_id()

    assert one != other
    assert one[14] == "4"


def test_an_answer_is_kept_before_commit_returns(yard: Yard) -> None:
    """The journal has the answer and how it came in, at the time of the clock."""
    session = yard.start()
    how = ev.How(mode="spoken", confirmed_by="explicit", words=("four", "five"))
    yard.clock.advance(2)

    entry = session.commit(HOUR_METER, how)

    assert yard.journal.entries(session.walk_id)[-1] == entry
    assert (entry.event, entry.how) == (HOUR_METER, how)
    assert entry.at_utc == "2026-01-05T06:00:03.000Z"
    assert session.walk.answers == {"hour_meter": GOOD["hour_meter"]}


def test_an_event_that_does_not_fit_is_kept_nowhere(yard: Yard) -> None:
    """A wrong event changes neither the walk nor the journal."""
    session = yard.start()

    with pytest.raises(WalkError):
        session.commit(PARKED)

    assert session.walk.answers == {}
    assert len(yard.journal.entries(session.walk_id)) == 2


def test_an_answer_that_cannot_be_kept_does_not_count(yard: Yard) -> None:
    """When the journal fails, the walk still asks the same point."""
    session = yard.start()
    yard.journal.listed.clear()

    with pytest.raises(JournalError):
        session.commit(HOUR_METER)

    assert session.walk.answers == {}


def test_observations_do_not_change_the_walk(yard: Yard) -> None:
    """What is observed is kept, and passed over when the walk is taken up."""
    session = yard.start()
    session.observe("noinput", "hour_meter", "5 s")
    session.commit(HOUR_METER)

    resumed = yard.resume()

    assert resumed.walk.answers == session.walk.answers
    assert yard.journal.entries(session.walk_id)[2].event == ev.Observed(
        kind="noinput", checkpoint_id="hour_meter", detail="5 s"
    )


def test_resume_goes_on_where_it_stood(yard: Yard) -> None:
    """Answers, skips and place come back; the next point is the same."""
    session = yard.start()
    session.commit(HOUR_METER)
    session.commit(PARKED)

    resumed = yard.resume()

    assert resumed.walk_id == session.walk_id
    assert resumed.walk.answers == session.walk.answers
    assert resumed.walk.task == session.walk.task
    fill(resumed, GOOD)
    assert resumed.walk.phase is Phase.SIGNED


def test_resume_takes_the_newest_unfinished_walk_of_the_unit(yard: Yard) -> None:
    """Other units, older walks and finished walks are left alone."""
    yard.start()
    newest = yard.start()
    yard.start("L-13")
    done = yard.start()
    fill(done, GOOD)
    done.finish()

    assert yard.resume().walk_id == newest.walk_id


def test_resume_without_an_unfinished_walk(yard: Yard) -> None:
    """The error says what to do."""
    session = yard.start()
    fill(session, GOOD)
    session.finish()

    with pytest.raises(RecordNotFound, match="start one without --resume"):
        yard.resume()


def test_resume_with_another_checklist(yard: Yard) -> None:
    """A walk is never mixed from two checklists; the error names both."""
    yard.start()
    changed = replace(CHECKLIST, version="2", sha256="0" * 64)

    with pytest.raises(UsageError, match=r"small 1 .* not this small 2"):
        yard.resume(checklist=changed)


def test_resume_in_another_mode_is_in_the_record(yard: Yard) -> None:
    """A walk begun by voice may be ended at the keyboard; the record says so."""
    fill_from = yard.start()
    fill_from.commit(HOUR_METER)
    resumed = yard.resume(mode="typed")
    fill(resumed, GOOD)

    document = json.loads(resumed.finish().path.read_text("utf-8"))

    modes = [sitting["mode"] for sitting in document["walk"]["sittings"]]
    assert modes == ["spoken", "typed"]


def test_time_without_the_program_counts_as_standing_still(yard: Yard) -> None:
    """From the last entry to the resumption nobody was asked anything."""
    yard.start().commit(HOUR_METER)
    yard.clock.advance(599)
    resumed = yard.resume()
    fill(resumed, GOOD)

    document = json.loads(resumed.finish().path.read_text("utf-8"))

    assert document["walk"]["paused_s"] == 600.0


def test_resume_of_an_altered_journal(yard: Yard) -> None:
    """A journal that was altered cannot be gone on with."""
    session = yard.start()
    session.commit(HOUR_METER)
    rows = yard.journal.stored[session.walk_id]
    rows[2] = replace(rows[2], payload=rows[2].payload.replace("4527.3", "4527.4"))

    with pytest.raises(JournalDamaged, match="entry 3 was altered"):
        yard.resume()


def test_two_programs_on_one_walk(yard: Yard) -> None:
    """The one that fell behind is refused and writes nothing."""
    first = yard.start()
    second = yard.resume()
    second.commit(HOUR_METER)

    with pytest.raises(JournalError, match="another voicecheck"):
        first.commit(HOUR_METER)

    assert len(yard.journal.entries(first.walk_id)) == 4


def test_finish_writes_and_remembers_the_record(yard: Yard) -> None:
    """The file, its hashes and the list of walks agree."""
    session = yard.start()
    fill(session, GOOD)

    ref = session.finish()

    data = ref.path.read_bytes()
    document = json.loads(data)
    row = yard.journal.walks()[0].record
    assert row is not None
    assert ref.record_id == session.walk_id == document["record_id"]
    assert ref.path == yard.folder / "records" / f"{ref.record_id}.json"
    assert row.file_sha256 == hashlib.sha256(data).hexdigest()
    assert row.content_sha256 == sha256_of(document["content"])
    assert (row.status, row.outcome) == ("signed", "may_work")


def test_finishing_again_gives_the_same_record(yard: Yard) -> None:
    """A record that was lost after it was registered can be written again."""
    session = yard.start()
    fill(session, GOOD)
    ref = session.finish()
    data = ref.path.read_bytes()
    ref.path.unlink()

    assert session.finish() == ref
    assert ref.path.read_bytes() == data


def test_an_unfinished_walk_cannot_be_finished(yard: Yard) -> None:
    """No record is made of a walk with open points."""
    session = yard.start()

    with pytest.raises(WalkError, match="10 points are open"):
        session.finish()

    assert not (yard.folder / "records").exists()


def test_a_walk_signed_before_the_program_died_comes_back(yard: Yard) -> None:
    """Signed but without a record: resume gives it back and finish completes it."""
    session = yard.start()
    fill(session, GOOD)

    resumed = yard.resume()

    assert resumed.walk.phase is Phase.SIGNED
    assert resumed.finish().record_id == session.walk_id


def test_the_record_has_the_rights_of_a_usual_file(yard: Yard) -> None:
    """Others on the computer may read a record, not only who wrote it."""
    session = yard.start()
    fill(session, GOOD)

    assert session.finish().path.stat().st_mode & 0o444 == 0o444


def test_a_clip_is_kept_by_its_content(yard: Yard) -> None:
    """The name of a clip is its SHA-256; keeping it twice keeps it once.

    The hash of "abc" is the published example of FIPS 180-4.
    """
    session = yard.start()

    sha256 = session.keep_clip(b"abc")

    assert sha256 == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )
    assert session.keep_clip(b"abc") == sha256
    clips = list((yard.folder / "clips").iterdir())
    assert [clip.name for clip in clips] == [f"{sha256}.wav"]
    assert clips[0].read_bytes() == b"abc"


def test_a_broken_clip_is_written_again(yard: Yard) -> None:
    """A file under the right name with other bytes is put right."""
    session = yard.start()
    path = yard.folder / "clips" / f"{session.keep_clip(b'abc')}.wav"
    path.write_bytes(b"ab")

    session.keep_clip(b"abc")

    assert path.read_bytes() == b"abc"


@pytest.mark.parametrize(
    ("begun_by", "named", "observed"),
    [("kim", "", []), ("kim", "kim", []), ("", "lee", ["lee"])],
)
def test_resume_by_the_same_operator_or_one_named_later(
    yard: Yard, begun_by: str, named: str, observed: list[str]
) -> None:
    """Whoever is named only now is kept beside the walk."""
    WalkSession.start(
        yard.journal,
        yard.clock,
        CHECKLIST,
        unit="L-12",
        operator=begun_by,
        folder=yard.folder,
    )

    session = WalkSession.resume(
        yard.journal,
        yard.clock,
        CHECKLIST,
        unit="L-12",
        operator=named,
        folder=yard.folder,
    )

    entries = yard.journal.entries(session.walk_id)
    details = [e.event.detail for e in entries if isinstance(e.event, ev.Observed)]
    assert details == observed
    assert session.walk.started is not None
    assert session.walk.started.operator == begun_by


def test_resume_by_another_operator_is_refused(yard: Yard) -> None:
    """A record must not name one person for what another said."""
    WalkSession.start(
        yard.journal,
        yard.clock,
        CHECKLIST,
        unit="L-12",
        operator="kim",
        folder=yard.folder,
    )

    with pytest.raises(UsageError, match="begun by kim, not lee"):
        WalkSession.resume(
            yard.journal,
            yard.clock,
            CHECKLIST,
            unit="L-12",
            operator="lee",
            folder=yard.folder,
        )
