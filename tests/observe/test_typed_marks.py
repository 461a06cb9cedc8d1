"""A typed line is a mark, a command, or a sentence that says what would be."""

from __future__ import annotations

import pytest

from voicecheck.checklists.loader import load
from voicecheck.observe.marks import MarkKind, UnsafeAct
from voicecheck.observe.typed_marks import END, UNDO, Typed, TypedMark, Unclear, parse
from voicecheck.round.answers import LeakClass, Severity

LOADER = load("wheel-loader")
NUTS = "left_front_nuts"


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (f"looked {NUTS}", TypedMark(kind=MarkKind.LOOKED, checkpoint=NUTS)),
        ("l", TypedMark(kind=MarkKind.LOOKED, checkpoint="left_front_valve")),
        ("m left-front-nuts", TypedMark(kind=MarkKind.MISSED, checkpoint=NUTS)),
        ("glanced boom", TypedMark(kind=MarkKind.GLANCED, checkpoint="boom")),
        ("called", TypedMark(kind=MarkKind.CALLED, checkpoint=NUTS)),
        (
            "called Major # two nuts loose",
            TypedMark(
                kind=MarkKind.CALLED,
                checkpoint=NUTS,
                severity=Severity.MAJOR,
                note="two nuts loose",
            ),
        ),
        (
            "c loader_lines ii",
            TypedMark(
                kind=MarkKind.CALLED,
                checkpoint="loader_lines",
                leak_class=LeakClass.TWO,
            ),
        ),
        ("unsafe", TypedMark(kind=MarkKind.UNSAFE)),
        (
            "unsafe three # left hand full",
            TypedMark(
                kind=MarkKind.UNSAFE,
                act=UnsafeAct.THREE_POINTS_BROKEN,
                note="left hand full",
            ),
        ),
        ("order", TypedMark(kind=MarkKind.OUT_OF_ORDER, checkpoint=NUTS)),
        ("real horn", TypedMark(kind=MarkKind.REAL_FAULT, checkpoint="horn")),
        ("undo", UNDO),
        ("end", END),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_lines_that_mean_something(line: str, expected: Typed) -> None:
    """After the nuts of the left front wheel were marked."""
    assert parse(line, LOADER, NUTS) == expected


@pytest.mark.parametrize(
    ("line", "newest", "says"),
    [
        ("", None, "type one of"),
        ("un", None, "none of"),  # undo or unsafe: never guessed
        ("good horn", None, "none of"),
        ("looked nowhere", None, "no point"),
        ("looked left_front", None, "may be left_front_tread"),
        ("looked horn boom", None, "too much"),
        ("looked horn minor", None, "too much"),
        ("called", None, "name the point"),
        ("looked", "ground_after_run", "name the point"),
    ],
)
def test_lines_that_mean_nothing(line: str, newest: str | None, says: str) -> None:
    """Nothing is guessed, and nothing kept."""
    found = parse(line, LOADER, newest)

    assert isinstance(found, Unclear)
    assert says in found.text
