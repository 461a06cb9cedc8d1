"""Events come back from the store as they went in, and nothing else gets in."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.errors import ObserveError
from voicecheck.observe.events import (
    Appealed,
    ObserveEvent,
    Signed,
    Signing,
)
from voicecheck.observe.marks import (
    Mark,
    MarkKind,
    MarkWay,
    Retraction,
    UnsafeAct,
    mark_problem,
)
from voicecheck.observe.wire import KINDS, from_personal, read_event, to_personal
from voicecheck.people.events import body_text
from voicecheck.round.answers import LeakClass, Severity
from voicecheck.testing import watched_walk as w
from voicecheck.testing.small_checklist import small_checklist

SMALL = small_checklist()
SEALED = w.sealed(SMALL)
HEAD: dict[str, Any] = {
    "key": UUID(int=7),
    "observation": w.OBSERVATION,
    "at_utc": w.at(3),
    "by": w.ASSESSOR,
}
EVENTS: list[ObserveEvent] = [
    w.begun(SMALL, SEALED),
    *w.marks(),
    w.mark(50, MarkKind.UNSAFE, 20, act=UnsafeAct.HOT_COOLANT_OPENED),
    Retraction(**HEAD, mark=UUID(int=21), skew_s=-1.5),
    *w.ending(SEALED, reason="rain"),
    Appealed(**HEAD, text="The tag hung behind the hose."),
    Signed(**HEAD, role=Signing.TRAINEE, result_sha256="0" * 64),
]


@pytest.mark.parametrize("event", EVENTS, ids=lambda event: type(event).__name__)
def test_every_event_comes_back(event: ObserveEvent) -> None:
    """Through the text in which bodies are kept."""
    kept = to_personal(event, w.TRAINEE)
    assert body_text(kept.body)

    assert from_personal(kept) == event
    assert kept.kind in KINDS
    assert (kept.subject, kept.thread) == (w.TRAINEE, str(w.OBSERVATION))


@given(
    kind=st.sampled_from([k for k in MarkKind if k is not MarkKind.UNSAFE]),
    note=st.text(max_size=300),
    skew_s=st.floats(-3600, 3600),
    severity=st.none() | st.sampled_from(Severity),
    leak_class=st.none() | st.sampled_from(LeakClass),
    way=st.sampled_from(MarkWay),
)
def test_any_mark_comes_back_or_means_nothing(
    kind: MarkKind,
    note: str,
    skew_s: float,
    severity: Severity | None,
    leak_class: LeakClass | None,
    way: MarkWay,
) -> None:
    """What has no problem is read as it was written."""
    mark = replace(
        w.mark(1, kind, 5, "horn", severity=severity, leak_class=leak_class),
        note=note,
        skew_s=skew_s,
        way=way,
    )
    kept = to_personal(mark, w.TRAINEE)

    if mark_problem(mark) is None:
        assert from_personal(kept) == mark
    else:
        with pytest.raises(ObserveError):
            from_personal(kept)


def _sent(**changed: Any) -> dict[str, Any]:
    return {
        "key": str(UUID(int=1)),
        "observation": str(w.OBSERVATION),
        "kind": "looked",
        "at_utc": "2026-03-02T15:00:05+09:00",
        "by": "C.Poe",
        "checkpoint": "horn",
        **changed,
    }


def test_a_mark_from_a_page_is_read_and_its_time_put_into_utc() -> None:
    """As JSON sends it."""
    mark = read_event("observe/mark/1", _sent())

    assert isinstance(mark, Mark)
    assert mark.at_utc == "2026-03-02T06:00:05.000Z"


@pytest.mark.parametrize(
    "changed",
    [
        {"kind": "seen"},
        {"checkpoint": None},
        {"act": "other"},
        {"severity": "minor"},
        {"note": "x" * 301},
        {"more": 1},
        {"at_utc": "2026-03-02T06:00:05"},
        {"at_utc": "yesterday"},
        {"at_utc": None},
        {"key": "1"},
        {"skew_s": "fast"},
    ],
    ids=lambda changed: next(iter(changed)),
)
def test_what_is_no_mark_is_refused(changed: dict[str, Any]) -> None:
    """With a sentence, never with a traceback of a library."""
    with pytest.raises(ObserveError):
        read_event("observe/mark/1", _sent(**changed))


def test_an_unknown_kind_is_refused() -> None:
    """A newer program may have written it."""
    kept = replace(to_personal(EVENTS[0], w.TRAINEE), kind="observe/dream/1")

    with pytest.raises(ObserveError, match="no event"):
        from_personal(kept)
