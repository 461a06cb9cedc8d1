"""The exported result follows its schema, and its hash stands for all of it."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from voicecheck.observe.decision import decide
from voicecheck.observe.document import result_document, result_sha256
from voicecheck.observe.events import ObserveEvent
from voicecheck.observe.marks import MarkKind, UnsafeAct
from voicecheck.observe.result import result
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
