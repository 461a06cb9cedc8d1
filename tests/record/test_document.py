"""The record as a document: its schema, its parts, and the hash of its content."""

from __future__ import annotations

import copy
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.clock import ManualClock
from voicecheck.record.canonical import sha256_of
from voicecheck.record.document import record_document, schema, to_text
from voicecheck.round import answers as an
from voicecheck.round import events as ev
from voicecheck.round.checklist import (
    Checklist,
    CheckpointKind,
    Outcome,
    ReadingState,
)
from voicecheck.round.decision import FindingKind
from voicecheck.round.record import content
from voicecheck.round.walk import FINAL, AskCheckpoint, Walk
from voicecheck.store.session import WalkSession
from voicecheck.testing.filling import fill
from voicecheck.testing.memory_journal import MemoryJournal
from voicecheck.testing.small_checklist import (
    bad_answers,
    good_answers,
    small_checklist,
)
from voicecheck.testing.strategies import answer_at, answers_to, checklists

VALIDATOR = jsonschema.Draft202012Validator(schema())
CHECKLIST = small_checklist()
WALK_ID = "00000000-0000-4000-8000-00000000000a"
GOOD = good_answers()
FINDINGS = bad_answers()
LATER = {"noise", "barge_in"}
"""Left out where there is nothing to tell, as in all older records."""
HOW = ev.How(
    mode="spoken",
    confirmed_by="explicit",
    words=("good",),
    confidence=0.9,
    tries=2,
    after_prompt_s=0.4,
    too_fast=True,
    engine="pocketsphinx",
)


class Sitting:
    """A walk in memory with its clock."""

    def __init__(
        self, folder: Path, checklist: Checklist = CHECKLIST, mode: str = "spoken"
    ) -> None:
        self.journal = MemoryJournal()
        self.clock = ManualClock()
        self.session = WalkSession.start(
            self.journal,
            self.clock,
            checklist,
            unit="L-12",
            operator="J.Doe",
            mode=mode,
            tool_version="0.1.0",
            folder=folder,
            new_id=lambda: WALK_ID,
        )

    def document(self) -> dict[str, Any]:
        """Return the record of the walk as it came through JSON text."""
        entries = self.journal.entries(WALK_ID)
        document = record_document(
            WALK_ID, self.session.walk, entries, entries[-1].head
        )
        through: dict[str, Any] = json.loads(to_text(document))
        return through


def errors_in(document: object) -> list[str]:
    """Return what the schema says against a document."""
    return [error.message for error in VALIDATOR.iter_errors(document)]


def test_the_schema_is_a_schema() -> None:
    """It is valid under draft 2020-12."""
    jsonschema.Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize("answers", [GOOD, FINDINGS], ids=["good", "findings"])
def test_a_record_follows_the_published_schema(
    answers: dict[str, an.Answer], tmp_path: Path
) -> None:
    """A walk with and one without findings give valid documents."""
    sitting = Sitting(tmp_path)
    fill(sitting.session, answers, how=HOW)

    assert errors_in(sitting.document()) == []


def test_a_record_of_everything_follows_the_published_schema(tmp_path: Path) -> None:
    """Skips, notes, pauses, observations and answers taken back are covered."""
    document = eventful(tmp_path).document()

    assert errors_in(document) == []
    for part in ("how", "skips", "observations", "notes"):
        assert document[part]


def test_a_walk_that_was_stopped_follows_the_published_schema(tmp_path: Path) -> None:
    """A start check answered with no gives a record with the reason."""
    sitting = Sitting(tmp_path)
    fill(sitting.session, {**GOOD, "parked": an.No()})

    document = sitting.document()

    assert errors_in(document) == []
    assert document["content"]["stop_checkpoint"] == "parked"
    assert document["walk"]["stop_reason"] == "Park it first."
    assert document["content"]["decision"]["outcome"] == "out_of_service"


def objects_in(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the paths of all objects in JSON data."""
    items: list[tuple[Any, Any]] = []
    if isinstance(data, dict):
        items = list(data.items())
    elif isinstance(data, list):
        items = list(enumerate(data))
    found = [path] if isinstance(data, dict) else []
    return found + [
        place for key, value in items for place in objects_in(value, (*path, key))
    ]


def test_the_schema_refuses_unknown_keys_everywhere(tmp_path: Path) -> None:
    """No object of a record takes a key that the schema does not name.

    Mappings by id are open by nature; they refuse a value of a wrong type.
    """
    document = eventful(tmp_path).document()
    accepted = []
    for path in objects_in(document):
        changed = copy.deepcopy(document)
        place: Any = changed
        for key in path:
            place = place[key]
        place["unheard_of"] = [{}]
        if VALIDATOR.is_valid(changed):
            accepted.append(path)

    assert accepted == []


def schemas_in(data: Any) -> list[dict[str, Any]]:
    """Return all schemas of closed objects inside a schema."""
    if isinstance(data, list):
        return [found for item in data for found in schemas_in(item)]
    if not isinstance(data, dict):
        return []
    here = [data] if data.get("additionalProperties") is False else []
    return here + [found for item in data.values() for found in schemas_in(item)]


def test_the_schema_misses_no_key() -> None:
    """Every key of a closed object is required: a record is whole or refused."""
    found = schemas_in(schema())

    assert len(found) > 10
    for closed in found:
        named = [name for name in closed["properties"] if name not in LATER]
        assert closed["required"] == named


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("fault", an.Fault),
        ("severity", an.Severity),
        ("leak_class", an.LeakClass),
        ("level", an.Level),
        ("reason", an.Reason),
        ("outcome", Outcome),
    ],
)
def test_the_schema_knows_the_same_words(name: str, kind: Any) -> None:
    """Closed sets in the schema are those of the code."""
    assert schema()["$defs"][name]["enum"] == [member.value for member in kind]


def test_the_schema_knows_the_same_states() -> None:
    """So are the ends of a walk, the kinds of findings and states of readings."""
    defs = schema()["$defs"]
    properties = defs["content"]["properties"]

    assert set(properties["status"]["enum"]) == {phase.value for phase in FINAL}
    assert set(defs["finding"]["properties"]["kind"]["enum"]) == set(FindingKind)
    assert set(defs["reading"]["properties"]["state"]["enum"]) == set(ReadingState)


def eventful(folder: Path) -> Sitting:
    """Return a signed walk on which everything happened that can happen."""
    sitting = Sitting(folder)
    session, clock = sitting.session, sitting.clock
    clock.advance(10)
    skip = ev.CheckpointSkipped(checkpoint_id="hour_meter", reason=an.Reason.TOO_DARK)
    session.commit(skip)
    good = ev.AnswerConfirmed(checkpoint_id="parked", answer=an.Yes())
    session.commit(good, HOW)
    session.commit(ev.AnswerWithdrawn(checkpoint_id="parked"))
    session.commit(good)
    session.commit(ev.WalkPaused())
    clock.advance(300)
    session.observe("noinput", "nobody_near", "5 s")
    session.commit(ev.WalkResumed())
    session.observe("nomatch")
    sha256 = session.keep_clip(b"RIFF")
    session.commit(
        ev.NoteKept(checkpoint_id="nobody_near", clip_sha256=sha256, seconds=2.0)
    )
    session.commit(ev.NoteKept(checkpoint_id=None, text="경적이 약함"))
    clock.advance(60)
    fill(session, FINDINGS, how=HOW)
    return sitting


def test_answers_taken_back_stay_in_the_record(tmp_path: Path) -> None:
    """How answers came in is kept in the order given, withdrawn ones flagged."""
    how = eventful(tmp_path).document()["how"]

    first, second = how[0], how[1]
    assert (first["checkpoint"], first["withdrawn"]) == ("parked", True)
    assert (second["checkpoint"], second["withdrawn"]) == ("parked", False)
    assert (first["words"], first["too_fast"]) == (["good"], True)
    assert (second["words"], second["mode"]) == (None, None)
    assert [entry["checkpoint"] for entry in how][-1] == "hour_meter"


def test_times_and_counts(tmp_path: Path) -> None:
    """The record says how long it took, how much of that it stood still, and more."""
    walk = eventful(tmp_path).document()["walk"]

    assert (walk["duration_s"], walk["paused_s"]) == (370.0, 300.0)
    assert walk["started_utc"] == "2026-01-05T06:00:00.000Z"
    assert walk["ended_utc"] == "2026-01-05T06:06:10.000Z"
    assert walk["counts"] == {
        "answers": 11,
        "withdrawn": 1,
        "skipped": 1,
        "pauses": 1,
        "notes": 2,
        "too_fast": 10,
        "noinput": 1,
        "nomatch": 1,
        "observed": {"noinput": 1, "nomatch": 1},
    }


def test_the_record_carries_the_head_of_its_journal(tmp_path: Path) -> None:
    """The newest entry's number and hash fix the whole journal."""
    sitting = eventful(tmp_path)
    last = sitting.journal.entries(WALK_ID)[-1]

    journal = sitting.document()["walk"]["journal"]

    assert journal == {"entries": last.seq, "head_sha256": last.sha256}


def test_the_record_can_be_read_without_its_checklist(tmp_path: Path) -> None:
    """Every id in a record has its words in the record."""
    document = eventful(tmp_path).document()
    found, words = document["content"], document["words"]
    zones = {zone["zone"] for zone in words["zones"]}

    for answer in found["answers"]:
        assert words["prompts"][answer["checkpoint"]]
        assert answer["zone"] in zones
    for finding in found["findings"]:
        assert set(finding["rules"]) <= set(words["rules"])
    for hit in found["decision"]["rules"]:
        assert words["rules"][hit["rule"]]
    assert words["fluids"]["fuel"] == "fuel"
    assert words["limits"]["left_tyre"]["low"] == 400.0


def test_making_it_again_gives_the_same_bytes(tmp_path: Path) -> None:
    """A record is a function of its journal."""
    sitting = eventful(tmp_path)

    assert sitting.document() == sitting.document()


def test_an_unfinished_walk_has_no_record(tmp_path: Path) -> None:
    """Nothing that is not over can look like a finished walk."""
    session = Sitting(tmp_path).session

    with pytest.raises(ValueError, match="over"):
        record_document(WALK_ID, session.walk, (), None)  # type: ignore[arg-type]


def test_time_that_goes_back_gives_no_negative_duration(tmp_path: Path) -> None:
    """A wall clock set back in the middle makes a pause of zero, not below."""
    sitting = Sitting(tmp_path)
    late = ManualClock()
    sitting.clock.advance(3600)
    sitting.session.commit(ev.WalkPaused())
    sitting.session._clock = late
    sitting.session.commit(ev.WalkResumed())
    fill(sitting.session, GOOD)

    walk = sitting.document()["walk"]

    assert (walk["duration_s"], walk["paused_s"]) == (0.0, 0.0)


def detour(
    session: WalkSession, kind: str, checklist: Checklist, data: st.DataObject
) -> None:
    """Do something on a spoken walk that leaves the answers as they are."""
    task = session.walk.task
    match kind:
        case "note":
            session.commit(ev.NoteKept(checkpoint_id=None, text="a note"))
        case "pause":
            session.commit(ev.WalkPaused())
            session.commit(ev.WalkResumed())
        case "noinput":
            session.observe("noinput")
        case "back" if session.walk.last_answered is not None:
            last = session.walk.last_answered
            session.commit(ev.AnswerWithdrawn(checkpoint_id=last))
        case "mistake" if isinstance(task, AskCheckpoint):
            point = task.checkpoint
            wrong = data.draw(answer_at(checklist, point))
            if not isinstance(wrong, an.No):
                given_event = ev.AnswerConfirmed(checkpoint_id=point.id, answer=wrong)
                session.commit(given_event)
                session.commit(ev.AnswerWithdrawn(checkpoint_id=point.id))
        case "skip" if isinstance(task, AskCheckpoint):
            point = task.checkpoint
            if point.kind is not CheckpointKind.START and not task.returning:
                session.commit(
                    ev.CheckpointSkipped(
                        checkpoint_id=point.id, reason=an.Reason.TOO_DARK
                    )
                )


def walked(
    session: WalkSession, answers: Mapping[str, an.Answer], data: st.DataObject
) -> None:
    """Walk a spoken walk to its end, with detours in between.

    Nothing is skipped on the way to a no, which ends the walk: a point skipped
    before it stays without an answer, and then the answers are not the same.
    """
    kinds = ["note", "pause", "noinput", "back", "mistake", "skip"]
    if any(isinstance(answer, an.No) for answer in answers.values()):
        kinds.remove("skip")
    for kind in data.draw(st.lists(st.sampled_from(kinds), max_size=12)):
        if session.walk.over:
            break
        detour(session, kind, session.walk.checklist, data)
        step_on(session, answers)
    fill(session, answers, how=HOW)


def step_on(session: WalkSession, answers: Mapping[str, an.Answer]) -> None:
    """Answer the point that is asked, if one is."""
    task = session.walk.task
    if isinstance(task, AskCheckpoint):
        point_id = task.checkpoint.id
        event = ev.AnswerConfirmed(checkpoint_id=point_id, answer=answers[point_id])
        session.commit(event, HOW)


@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_spoken_and_typed_walks_have_one_content(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The same answers give the same content and hash, whatever the way to them.

    Over generated checklists and answers, with skips, go-backs, mistakes taken
    back, pauses and notes on the spoken walk.
    """
    folder = tmp_path_factory.getbasetemp()
    checklist = data.draw(checklists())
    answers = data.draw(answers_to(checklist))
    accepted = data.draw(st.booleans())
    spoken, typed = Sitting(folder, checklist), Sitting(folder, checklist, "typed")

    walked(spoken.session, answers, data) if accepted else fill(
        spoken.session, answers, accepted=False
    )
    fill(typed.session, answers, accepted=accepted)

    one, other = spoken.document(), typed.document()
    assert one["content"] == other["content"]
    assert one["content_sha256"] == other["content_sha256"] == sha256_of(one["content"])
    assert errors_in(one) == []
    assert one["walk"]["mode"] != other["walk"]["mode"]


@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_another_answer_gives_another_hash(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """One answer changed changes the hash of the content."""
    folder = tmp_path_factory.getbasetemp()
    answers = data.draw(answers_to(CHECKLIST))
    changed_at = data.draw(st.sampled_from(CHECKLIST.checkpoints))
    changed = data.draw(answer_at(CHECKLIST, changed_at))
    hashes = []
    for variant in (answers, {**answers, changed_at.id: changed}):
        session = Sitting(folder).session
        fill(session, variant)
        hashes.append((sha256_of(content(session.walk)), session.walk))
    (one, walk), (other, other_walk) = hashes

    assert (one == other) == (walk.answers == other_walk.answers)


@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_replaying_the_journal_gives_the_same_walk(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Every event that was let in can be played again, in the same order."""
    checklist = data.draw(checklists())
    answers = data.draw(answers_to(checklist))
    sitting = Sitting(tmp_path_factory.getbasetemp(), checklist)
    walked(sitting.session, answers, data)

    events = [
        entry.event
        for entry in sitting.journal.entries(WALK_ID)
        if isinstance(entry.event, ev.WalkEvent)
    ]
    again = Walk.replay(checklist, events)

    assert again.answers == sitting.session.walk.answers
    assert again.phase is sitting.session.walk.phase
