"""The exported result follows its schema, and its hash stands for all of it."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from voicecheck.observe.decision import decide
from voicecheck.observe.document import result_document, result_sha256
from voicecheck.observe.events import ObserveEvent
from voicecheck.observe.marks import MarkKind, UnsafeAct
from voicecheck.observe.report.debrief_parts import debrief_report
from voicecheck.observe.report.result_parts import result_report
from voicecheck.observe.report.text import report_text
from voicecheck.observe.report.words import Words
from voicecheck.observe.result import result
from voicecheck.round.answers import LeakClass, Severity
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()
ACT = w.mark(50, MarkKind.UNSAFE, 20, act=UnsafeAct.HOT_COOLANT_OPENED)


def document(*extra: ObserveEvent, reason: str = "") -> dict[str, Any]:
    """Return the document of the watched walk."""
    found = result(w.watched(SMALL, extra, reason=reason), SMALL)
    return result_document(found, decide(found))


def published() -> dict[str, Any]:
    """Return the schema as it is shipped."""
    text = files("voicecheck.observe").joinpath("result.schema.json").read_text("utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


@pytest.mark.parametrize(
    "made",
    [document(), document(ACT), document(reason="rain")],
    ids=["plain", "with an act", "broken off"],
)
def test_documents_follow_the_schema(made: dict[str, Any]) -> None:
    """Through JSON text, by a validator that is not ours."""
    jsonschema.Draft202012Validator(published()).validate(json.loads(json.dumps(made)))


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_whatever_is_marked_makes_a_document(data: st.DataObject) -> None:
    """Any marks at any points, known or not, taken back or not, with any end."""
    points = st.sampled_from([*w.WAY, "nowhere"])
    marks: list[ObserveEvent] = []
    for number in range(data.draw(st.integers(0, 12))):
        kind = data.draw(st.sampled_from(MarkKind))
        called = kind is MarkKind.CALLED
        marks.append(
            w.mark(
                number,
                kind,
                data.draw(st.integers(-600, 600)),
                data.draw(points),
                severity=data.draw(st.sampled_from(Severity)) if called else None,
                leak_class=data.draw(st.sampled_from(LeakClass)) if called else None,
            )
        )
    closed = w.sealed(SMALL)
    seen = w.fold(
        w.OBSERVATION, [w.begun(SMALL, closed), *marks, *w.ending(closed, 30)]
    )
    found = result(seen, SMALL)

    made = result_document(found, decide(found))

    jsonschema.Draft202012Validator(published()).validate(made)
    assert found.found.count <= found.found.of == 3
    assert report_text(result_report(found, decide(found), Words(SMALL)))
    assert report_text(debrief_report(found, decide(found), Words(SMALL, "ko")))


def test_an_unknown_key_breaks_the_schema() -> None:
    """The schema can fail."""
    validator = jsonschema.Draft202012Validator(published())

    assert not validator.is_valid({**document(), "more": 1})


def test_the_hash_moves_with_everything_that_counts() -> None:
    """One more mark is another result; an appeal beside it is not."""
    first = result(w.watched(SMALL), SMALL)
    other = result(w.watched(SMALL, [ACT]), SMALL)

    sha256 = result_sha256(first, decide(first))
    assert len(sha256) == 64
    assert result_sha256(other, decide(other)) != sha256


def test_the_decision_stands_in_the_document() -> None:
    """With the reasons and their sources."""
    made = document(ACT)

    assert made["decision"]["standing"] == "not_met"
    [happened] = [one for one in made["decision"]["critical"] if one["happened"]]
    assert happened["id"] == "hot_coolant_opened"
    assert made["seal"]["state"] == "holds"
    assert made["detection"]["d_prime"] == pytest.approx(0.6373, abs=1e-4)
