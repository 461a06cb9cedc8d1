"""One typed line as a mark: what was seen, where, and a note.

    looked                            the next point of the checklist
    glanced left_front_nuts           this point; a part that only it has will do
    called major # two nuts loose     the newest point, with what the trainee said
    called leaks_below II
    unsafe three_points_broken        or only "unsafe", with a note
    undo                              takes the newest mark back

A word may be cut to letters that no other word begins with.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from voicecheck.observe.marks import MarkKind, UnsafeAct
from voicecheck.round.answers import LeakClass, Severity
from voicecheck.round.checklist import Checklist

UNDO = "undo"
END = "end"
_KINDS = {
    **{kind.value: kind for kind in MarkKind},
    "order": MarkKind.OUT_OF_ORDER,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedMark:
    """What a line says."""

    kind: MarkKind
    checkpoint: str | None = None
    act: UnsafeAct | None = None
    severity: Severity | None = None
    leak_class: LeakClass | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unclear:
    """A line that means nothing; the text says what would."""

    text: str


Typed = TypedMark | Unclear | str
"""A mark, `UNDO` or `END`, or neither."""


def parse(line: str, checklist: Checklist, newest: str | None) -> Typed:
    """Take a typed line apart.

    Args:
        line: what was typed.
        checklist: whose points may be named.
        newest: the point that was marked last; None: none yet.
    """
    said, _, note = line.partition("#")
    words = said.split()
    if not words:
        return Unclear(text=f"type one of {', '.join((*_KINDS, UNDO, END))}")
    first = _one_of(words[0].lower(), (*_KINDS, UNDO, END))
    if first is None:
        return Unclear(
            text=f"{words[0]!r} is none of {', '.join((*_KINDS, UNDO, END))}"
        )
    if first in (UNDO, END):
        return first
    mark = TypedMark(kind=_KINDS[first], note=note.strip())
    for word in words[1:]:
        read = _detail(mark, word, checklist)
        if isinstance(read, Unclear):
            return read
        mark = read
    return _placed(mark, checklist, newest)


def next_point(checklist: Checklist, newest: str | None) -> str | None:
    """Return the point after the newest one; None after the last."""
    points = [point.id for point in checklist.checkpoints]
    if newest is None or newest not in points:
        return points[0] if points else None
    at = points.index(newest) + 1
    return points[at] if at < len(points) else None


def find_point(word: str, checklist: Checklist) -> str | Unclear:
    """Return the point that a word names: its id, or a part that only it has."""
    points = [point.id for point in checklist.checkpoints]
    wanted = word.lower().replace("-", "_")
    if wanted in points:
        return wanted
    found = [point for point in points if wanted in point]
    if len(found) == 1:
        return found[0]
    if found:
        return Unclear(text=f"{word!r} may be {', '.join(found[:6])}; type more of it")
    return Unclear(
        text=f"there is no point {word!r}; `voicecheck checklists show` lists them"
    )


def _detail(mark: TypedMark, word: str, checklist: Checklist) -> TypedMark | Unclear:
    if mark.kind is MarkKind.CALLED:
        if word.lower() in set(Severity):
            return replace(mark, severity=Severity(word.lower()))
        if word.upper() in set(LeakClass):
            return replace(mark, leak_class=LeakClass(word.upper()))
    if mark.kind is MarkKind.UNSAFE and mark.act is None:
        act = _one_of(word.lower(), tuple(UnsafeAct))
        if act is not None:
            return replace(mark, act=UnsafeAct(act))
    if mark.checkpoint is not None:
        return Unclear(text=f"{word!r} is too much; a note goes behind a #")
    point = find_point(word, checklist)
    return point if isinstance(point, Unclear) else replace(mark, checkpoint=point)


def _placed(
    mark: TypedMark, checklist: Checklist, newest: str | None
) -> TypedMark | Unclear:
    if mark.checkpoint is not None or not mark.kind.needs_checkpoint:
        return mark
    point = next_point(checklist, newest) if mark.kind.is_look else newest
    if point is None:
        return Unclear(text="name the point, such as: looked left_front_nuts")
    return replace(mark, checkpoint=point)


def _one_of(word: str, words: tuple[str, ...]) -> str | None:
    if word in words:
        return word
    found = [one for one in words if one.startswith(word)]
    return found[0] if len(found) == 1 else None
