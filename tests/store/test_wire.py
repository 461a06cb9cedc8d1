"""Events go to JSON and come back the same, and nothing else comes in."""

from __future__ import annotations

import dataclasses
import inspect
import json
import typing
from decimal import Decimal

import pytest

from voicecheck.errors import JournalDamaged, JournalError
from voicecheck.record.steps import NoiseMeasured, SittingBegan
from voicecheck.round import answers as an
from voicecheck.round import events as ev
from voicecheck.store import wire
from voicecheck.testing.small_checklist import small_checklist

ANSWERS: tuple[an.Answer, ...] = (
    an.Yes(),
    an.No(),
    an.Good(),
    an.NotFitted(),
    an.Defect(fault=an.Fault.CRACKED, severity=an.Severity.MAJOR),
    an.Leak(fluid="fuel", leak_class=an.LeakClass.THREE),
    an.CouldNotCheck(reason=an.Reason.TOO_DARK),
    an.LevelSeen(level=an.Level.BETWEEN),
    an.ReadingTaken(value=Decimal("4527.3")),
)
EVENTS: tuple[object, ...] = (
    ev.WalkStarted(
        unit="L-12",
        operator="J.Doe",
        checklist="small",
        checklist_version="1",
        checklist_sha256="ab" * 32,
    ),
    *(ev.AnswerConfirmed(checkpoint_id="horn", answer=answer) for answer in ANSWERS),
    ev.AnswerWithdrawn(checkpoint_id="horn"),
    ev.SkipWithdrawn(checkpoint_id="horn"),
    ev.CheckpointSkipped(checkpoint_id="horn", reason=an.Reason.UNSAFE),
    ev.ClimbDone(zone_id="cab"),
    ev.NoteKept(checkpoint_id="horn", clip_sha256="cd" * 32, seconds=2.5),
    ev.NoteKept(checkpoint_id=None, text="경적이 약함"),
    ev.WalkPaused(cause="device_lost"),
    ev.WalkResumed(),
    ev.Declared(accepted=True),
    ev.WalkStopped(reason="rain"),
    ev.Observed(kind="noinput", checkpoint_id="horn", detail="5 s"),
    SittingBegan(mode="spoken", language="ko", tool_version="0.1.0"),
)
HOW = ev.How(
    mode="spoken",
    confirmed_by="explicit",
    words=("defect", "cracked", "major"),
    confidence=0.91,
    tries=3,
    after_prompt_s=1.25,
    too_fast=True,
    noise_dbfs=-41.5,
    snr_db=9.0,
    engine="pocketsphinx",
    barge_in=True,
)


def dataclasses_of(module: object) -> set[type]:
    """Return the data classes that a module defines itself."""
    return {
        member
        for _, member in inspect.getmembers(module, dataclasses.is_dataclass)
        if member.__module__ == module.__name__  # type: ignore[attr-defined]
    }


def test_every_event_has_a_sample_here() -> None:
    """No event of the module can be added without being tried here."""
    found = dataclasses_of(ev) | {SittingBegan}

    assert found == {type(event) for event in EVENTS} | {ev.How}
    assert {type(answer) for answer in ANSWERS} == set(typing.get_args(an.Answer))


def test_every_event_of_a_walk_can_be_kept() -> None:
    """Kinds and the union of events name the same classes."""
    walk_events = set(typing.get_args(ev.WalkEvent))

    assert set(wire.KINDS.values()) == walk_events | {
        ev.Observed,
        SittingBegan,
        NoiseMeasured,
    }


@pytest.mark.parametrize("event", EVENTS, ids=repr)
def test_an_event_comes_back_the_same(event: typing.Any) -> None:
    """JSON text in between loses nothing of an event."""
    text = json.dumps(wire.event_to_json(event))

    assert wire.event_from_json(json.loads(text)) == event


@pytest.mark.parametrize("event", EVENTS, ids=repr)
def test_an_unknown_key_is_refused(event: typing.Any) -> None:
    """A key that voicecheck does not know never passes unseen."""
    data = {**wire.event_to_json(event), "extra": 1}

    with pytest.raises(JournalDamaged):
        wire.event_from_json(data)


@pytest.mark.parametrize("answer", ANSWERS, ids=repr)
def test_an_unknown_key_in_an_answer_is_refused(answer: an.Answer) -> None:
    """The same holds inside an answer."""
    event = ev.AnswerConfirmed(checkpoint_id="horn", answer=answer)
    data = wire.event_to_json(event)
    data["answer"]["extra"] = 1

    with pytest.raises(JournalDamaged):
        wire.event_from_json(data)


def test_an_unknown_kind_is_refused() -> None:
    """An event of a later version is not passed over."""
    with pytest.raises(JournalDamaged, match="newer voicecheck"):
        wire.event_from_json({"type": "teleported"})


def test_how_comes_back_the_same() -> None:
    """How an answer came in survives JSON with every field set."""
    defaults = ev.How(mode="", confirmed_by="")
    unset = [
        field.name
        for field in dataclasses.fields(ev.How)
        if getattr(HOW, field.name) == getattr(defaults, field.name)
    ]

    assert unset == []
    assert wire.how_from_json(json.loads(json.dumps(wire.how_to_json(HOW)))) == HOW


def test_a_level_of_silence_can_be_kept() -> None:
    """Minus infinity (digital silence) becomes null instead of stopping the walk."""
    how = dataclasses.replace(HOW, noise_dbfs=float("-inf"), snr_db=float("nan"))

    data = wire.how_to_json(how)

    assert (data["noise_dbfs"], data["snr_db"]) == (None, None)


def test_wrong_types_are_refused() -> None:
    """Strict: a number written as text is not taken for a number."""
    with pytest.raises(JournalDamaged, match="tries"):
        wire.how_from_json({**wire.how_to_json(HOW), "tries": "3"})


def test_a_reading_with_too_many_digits_is_refused_before_it_is_kept() -> None:
    """A reading that JSON would round is never rounded in silence."""
    answer = an.ReadingTaken(value=Decimal("4527.12345678901234567"))
    event = ev.AnswerConfirmed(checkpoint_id="hour_meter", answer=answer)

    with pytest.raises(JournalError, match="hour_meter"):
        wire.event_to_json(event)


def test_a_checklist_comes_back_the_same() -> None:
    """The checklist kept beside a journal is the one that was used."""
    checklist = small_checklist()

    text = wire.checklist_to_text(checklist)

    assert wire.checklist_from_text(text) == checklist


@pytest.mark.parametrize("text", ["", "{}", '{"name": 1}', "[]"])
def test_a_broken_checklist_text_is_refused(text: str) -> None:
    """A kept checklist that cannot be read says so."""
    with pytest.raises(JournalDamaged, match="checklist"):
        wire.checklist_from_text(text)


def test_no_event_has_a_field_named_type() -> None:
    """The key that names the event can hide none of its fields."""
    names = {
        field.name
        for event in EVENTS
        for field in dataclasses.fields(event)  # type: ignore[arg-type]
    }

    assert "type" not in names
