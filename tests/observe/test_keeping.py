"""Observations in the store: who may, nothing lost or doubled, every look logged."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from voicecheck.clock import ManualClock
from voicecheck.errors import NotAllowed, ObserveError, PeopleError
from voicecheck.observe.decision import decide
from voicecheck.observe.document import result_sha256
from voicecheck.observe.events import Signing
from voicecheck.observe.keeping import Observations, newest_mark, started
from voicecheck.observe.marks import MarkKind
from voicecheck.observe.observation import Observation
from voicecheck.observe.result import result
from voicecheck.people.roles import Role
from voicecheck.people.store import PeopleStore
from voicecheck.round.walk import Walk
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()
SEALED = w.sealed(SMALL)


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Observations]:
    """Give a store with a supervisor, two assessors and two learners."""
    clock = ManualClock(w.START)
    with PeopleStore(tmp_path / "people.sqlite3", clock=clock) as store:
        store.register("M.Roe", [Role.SUPERVISOR], by="M.Roe")
        for assessor in ("C.Poe", "A.Lee"):
            store.register(assessor, [Role.ASSESSOR], by="M.Roe")
        for learner in ("J.Doe", "K.Moe"):
            store.register(learner, [Role.LEARNER], by=learner)
        yield Observations(store, clock)


def begin(kept: Observations, by: str = "C.Poe", trainee: str = "J.Doe") -> Observation:
    """Begin an observation and return it."""
    begun = kept.begin(
        trainee=trainee, unit="L-12", checklist=SMALL, sealed=SEALED, by=by
    )
    return kept.load(trainee, begun.observation, by)


def marks_of(seen: Observation) -> list[Any]:
    """Return the marks of the watched walk, made for this observation."""
    from dataclasses import replace

    begun = started(seen)
    return [
        replace(mark, observation=begun.observation, by=begun.by) for mark in w.marks()
    ]


def test_marks_sent_twice_and_late_are_kept_once(kept: Observations) -> None:
    """A page sends what it is not sure of again."""
    seen = begin(kept)
    marks = marks_of(seen)

    assert kept.add("J.Doe", marks[::-1]) == len(marks)
    assert kept.add("J.Doe", marks[2:5]) == 0
    again = kept.find("J.Doe", "C.Poe")

    assert len(again.marks) == len(marks)
    assert newest_mark(again, "C.Poe") == marks[-1]
    assert again.doubts == ()


def test_the_same_key_for_another_mark_is_refused(kept: Observations) -> None:
    """What was kept stays as it was."""
    from dataclasses import replace

    seen = begin(kept)
    mark = marks_of(seen)[0]
    kept.add("J.Doe", [mark])

    with pytest.raises(PeopleError):
        kept.add("J.Doe", [replace(mark, kind=MarkKind.MISSED)])
    assert kept.find("J.Doe", "C.Poe").marks == (mark,)


def test_who_sees_an_observation(kept: Observations) -> None:
    """Trainee, its assessor and supervisors; another assessor sees none of it."""
    seen = begin(kept)
    kept.add("J.Doe", marks_of(seen))

    for reader in ("J.Doe", "C.Poe", "M.Roe"):
        found = kept.load("J.Doe", seen.observation, reader)
        assert len(found.marks) == len(w.marks())
    with pytest.raises(ObserveError, match="sees no observation"):
        kept.find("J.Doe", "A.Lee")
    with pytest.raises(NotAllowed):
        kept.find("J.Doe", "K.Moe")


def test_every_look_is_written_down(kept: Observations) -> None:
    """The refused one as well."""
    begin(kept)
    with pytest.raises(NotAllowed):
        kept.find("J.Doe", "K.Moe")

    looks = kept.store.looks("J.Doe", "J.Doe")

    assert ("K.Moe", False) in {(look.reader, look.allowed) for look in looks}
    assert ("C.Poe", True) in {(look.reader, look.allowed) for look in looks}


def test_nobody_judges_their_own_walk_and_only_assessors_judge(
    kept: Observations,
) -> None:
    """The roles decide."""
    for by, trainee in (("C.Poe", "C.Poe"), ("K.Moe", "J.Doe")):
        with pytest.raises((ObserveError, NotAllowed)):
            begin(kept, by=by, trainee=trainee)


def test_a_learner_cannot_write_marks_that_count(kept: Observations) -> None:
    """They may write into their own results; the fold passes it over."""
    from dataclasses import replace

    seen = begin(kept)
    good = replace(marks_of(seen)[0], by="J.Doe")
    kept.add("J.Doe", [good])

    assert kept.find("J.Doe", "C.Poe").marks == ()


def test_end_result_sign_and_appeal(kept: Observations) -> None:
    """The whole way, each by who may; the signed hash is that of the result."""
    seen = begin(kept)
    kept.add("J.Doe", marks_of(seen))
    kept.end(kept.find("J.Doe", "C.Poe"), by="C.Poe", sealed=SEALED)
    ended = kept.find("J.Doe", "C.Poe")
    found = result(ended, SMALL)
    sha256 = result_sha256(found, decide(found))

    assert kept.sign(ended, by="C.Poe", result_sha256=sha256) is Signing.ASSESSOR
    assert kept.sign(ended, by="J.Doe", result_sha256=sha256) is Signing.TRAINEE
    with pytest.raises(NotAllowed):
        kept.sign(ended, by="A.Lee", result_sha256=sha256)
    kept.appeal(ended, by="J.Doe", text=" The tag hung behind the hose. ")
    with pytest.raises(ObserveError):
        kept.appeal(ended, by="J.Doe", text=" ")

    signed = kept.find("J.Doe", "M.Roe")
    assert {(one.role, one.result_sha256) for one in signed.signatures} == {
        (Signing.ASSESSOR, sha256),
        (Signing.TRAINEE, sha256),
    }
    assert [one.text for one in signed.appeals] == ["The tag hung behind the hose."]
    again = result(signed, SMALL)
    assert result_sha256(again, decide(again)) == sha256


def test_ending_twice_ends_once(kept: Observations) -> None:
    """A second tap on the same button."""
    seen = begin(kept)
    kept.end(seen, by="C.Poe", sealed=SEALED, reason="rain")
    first = kept.find("J.Doe", "C.Poe")
    kept.end(first, by="C.Poe", sealed=SEALED)

    assert kept.find("J.Doe", "C.Poe").ended == first.ended


@pytest.mark.parametrize(
    "changed",
    [{"operator": "K.Moe"}, {"unit": "L-13"}],
    ids=["another person", "another unit"],
)
def test_the_record_of_another_walk_is_refused(
    kept: Observations, changed: dict[str, str]
) -> None:
    """Somebody else's answers prove nothing."""
    seen = begin(kept)
    content = {
        "operator": "J.Doe",
        "unit": "L-12",
        "status": "signed",
        "checklist": {"sha256": SMALL.sha256},
        **changed,
    }
    record = {
        "record_id": "x",
        "content": content,
        "content_sha256": "0" * 64,
        "walk": {"started_utc": w.at(1), "ended_utc": w.at(2)},
        "how": [],
    }

    with pytest.raises(ObserveError, match="name another one"):
        kept.end(seen, by="C.Poe", sealed=SEALED, record=record)


def test_a_reference_may_be_cut_short(kept: Observations) -> None:
    """To the trainee, or to the first letters of the id."""
    first, second = begin(kept), begin(kept)

    assert kept.find(f"J.Doe/{str(first.observation)[:8]}", "C.Poe") == first
    assert kept.find("J.Doe", "C.Poe").observation in {
        first.observation,
        second.observation,
    }
    with pytest.raises(ObserveError, match="at least 4"):
        kept.find("J.Doe/3", "C.Poe")
    assert len(kept.visible("M.Roe")) == len(kept.visible("C.Poe", "J.Doe")) == 2
    assert kept.visible("K.Moe") == ()


def test_a_scenario_of_another_checklist_cannot_be_begun(kept: Observations) -> None:
    """The hash tells."""
    from voicecheck.checklists.loader import load

    with pytest.raises(ObserveError, match="plan it again"):
        kept.begin(
            trainee="J.Doe",
            unit="L-12",
            checklist=load("wheel-loader"),
            sealed=SEALED,
            by="C.Poe",
        )
    assert Walk(SMALL).remaining == 10
