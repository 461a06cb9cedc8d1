"""A scenario that was changed, or sealed late, is noticed."""

from __future__ import annotations

import copy
import hashlib
import json
import re
from datetime import timedelta
from typing import Any

import pytest

from voicecheck.observe.criteria import default_criteria
from voicecheck.observe.marks import MarkKind
from voicecheck.observe.scenario_json import scenario_from_json, scenario_to_json
from voicecheck.observe.seal import Sealed, SealState, check, groups, opened, seal
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()


def test_the_commitment_can_be_checked_without_voicecheck() -> None:
    """SHA-256 of the JSON with sorted keys and no spaces (RFC 8785).

    Written out by the standard library alone; all numbers here are short.
    """
    closed = w.sealed(SMALL)
    text = json.dumps(
        closed.document, sort_keys=True, separators=(",", ":"), ensure_ascii=False
    )
    text = re.sub(r"(\d)\.0(?=[,}\]])", r"\1", text)  # RFC 8785 writes 45, not 45.0

    assert hashlib.sha256(text.encode()).hexdigest() == closed.commitment


def test_the_same_scenario_is_sealed_otherwise_each_time() -> None:
    """The salt hides it: nobody can try scenarios against the commitment."""
    made = [seal(w.scenario(SMALL), default_criteria(), at=w.START) for _ in range(2)]

    assert made[0].commitment != made[1].commitment
    assert len(bytes.fromhex(made[0].document["salt"])) == 32


def test_scenario_and_criteria_come_out_as_they_went_in() -> None:
    """Through JSON text and back."""
    closed = w.sealed(SMALL)

    again = opened(json.loads(json.dumps(closed.document)))

    assert again.scenario == w.scenario(SMALL)
    assert again.criteria == default_criteria()
    assert again.commitment == closed.commitment
    assert scenario_from_json(scenario_to_json(again.scenario)) == again.scenario


def _holding(document: dict[str, Any]) -> SealState:
    closed = w.sealed(SMALL)
    seen = w.fold(
        w.OBSERVATION,
        [
            w.begun(SMALL, closed),
            *w.marks(),
            *w.ending(Sealed(document=document)),
        ],
    )
    return check(seen)


def test_a_seal_that_holds() -> None:
    """Nothing was touched."""
    assert _holding(w.sealed(SMALL).document) is SealState.HOLDS


@pytest.mark.parametrize(
    "path",
    [
        ("scenario", "planted", 0, "checkpoint"),
        ("scenario", "planted", 1, "expected", "leak_class"),
        ("scenario", "title"),
        ("criteria", "name"),
        ("salt",),
        ("sealed_utc",),
    ],
    ids=lambda path: ".".join(map(str, path)),
)
def test_every_change_is_noticed(path: tuple[Any, ...]) -> None:
    """One letter anywhere breaks the seal."""
    document = copy.deepcopy(w.sealed(SMALL).document)
    here = document
    for step in path[:-1]:
        here = here[step]
    value = here[path[-1]]
    here[path[-1]] = ("0" if value[0] != "0" else "1") + value[1:]

    assert _holding(document) is SealState.CHANGED


def test_a_seal_that_names_an_erased_person_is_charged_to_nobody() -> None:
    """A title may hold a name; erasing replaces it everywhere, the seal included."""
    document = copy.deepcopy(w.sealed(SMALL).document)
    document["scenario"]["title"] = "Plan of erased-0001"

    assert _holding(document) is SealState.ERASED


@pytest.mark.parametrize(
    ("sealed_s", "begun_s", "expected"),
    [
        (-3600, 0, SealState.HOLDS),
        (15, 0, SealState.HOLDS),  # clocks of two devices differ by so much
        (300, 0, SealState.LATE),
        (-3600, 300, SealState.LATE),
    ],
)
def test_a_late_seal_is_noticed(
    sealed_s: float, begun_s: float, expected: SealState
) -> None:
    """The first mark comes ten seconds after the start."""
    from dataclasses import replace

    closed = seal(
        w.scenario(SMALL),
        default_criteria(),
        at=w.START + timedelta(seconds=sealed_s),
    )
    begun = replace(w.begun(SMALL, closed), at_utc=w.at(begun_s))
    first = w.mark(1, MarkKind.LOOKED, 10, "horn")

    seen = w.fold(w.OBSERVATION, [begun, first, *w.ending(closed, 600)])

    assert check(seen) is expected


def test_before_it_is_opened_nothing_is_said() -> None:
    """Neither good nor bad."""
    seen = w.fold(w.OBSERVATION, [w.begun(SMALL, w.sealed(SMALL))])

    assert check(seen) is SealState.NOT_OPENED


@pytest.mark.parametrize(
    "document",
    [None, {}, {"format": "x"}, {**w.sealed(SMALL).document, "more": 1}],
    ids=["none", "empty", "strange", "unknown key"],
)
def test_what_is_no_seal_is_refused(document: Any) -> None:
    """With a sentence."""
    with pytest.raises(ValueError, match="sealed scenario"):
        opened(document)


def test_the_commitment_is_read_out_in_groups() -> None:
    """Sixteen groups of four."""
    assert groups("0123456789ab") == "0123 4567 89ab"
    assert len(groups(w.sealed(SMALL).commitment).split()) == 16
