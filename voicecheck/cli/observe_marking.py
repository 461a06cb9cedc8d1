"""Typed marking: one line in, one sentence out, kept before it is told."""

from __future__ import annotations

import uuid
from typing import Any

from voicecheck.clock import Clock, SystemClock, utc_text
from voicecheck.errors import ObserveError
from voicecheck.observe.keeping import Observations, newest_mark, started
from voicecheck.observe.marks import Mark, MarkWay, Retraction, mark_problem
from voicecheck.observe.observation import Observation
from voicecheck.observe.report.words import Words
from voicecheck.observe.typed_marks import (
    END,
    TypedMark,
    Unclear,
    next_point,
    parse,
)
from voicecheck.round.checklist import Checklist


class Marking:
    """Marks of one assessor on one observation."""

    def __init__(
        self,
        kept: Observations,
        seen: Observation,
        checklist: Checklist,
        by: str,
        clock: Clock | None = None,
    ) -> None:
        self.over = False
        self._kept, self._by = kept, by
        self._begun = started(seen)
        if by != self._begun.by:
            raise ObserveError(
                f"only {self._begun.by} marks this walk; begin an observation of your "
                "own to watch it too"
            )
        self._checklist = checklist
        self._words = Words(checklist)
        self._clock = clock or SystemClock()
        self._marks = list(seen.marks)
        newest = newest_mark(seen, by)
        self._newest = newest.checkpoint if newest else None

    def waiting(self) -> str:
        """Return the point that comes next, in words."""
        point = next_point(self._checklist, self._newest)
        return self._words.point(point) if point else "all points are through"

    def take(self, line: str) -> tuple[str, bool]:
        """Keep what a line says; return what to tell, and whether it was taken."""
        typed = parse(line, self._checklist, self._newest)
        if isinstance(typed, Unclear):
            return typed.text, False
        if isinstance(typed, TypedMark):
            return self._mark(typed)
        if typed == END:
            self.over = True
            return "Marking is over; `voicecheck observe end` ends the walk.", True
        return self._undo()

    def _mark(self, typed: TypedMark) -> tuple[str, bool]:
        mark = Mark(
            **self._head(),
            kind=typed.kind,
            checkpoint=typed.checkpoint,
            act=typed.act,
            severity=typed.severity,
            leak_class=typed.leak_class,
            note=typed.note,
            way=MarkWay.TYPED,
        )
        problem = mark_problem(mark)
        if problem:
            return problem, False
        self._kept.add(self._begun.trainee, [mark])
        self._marks.append(mark)
        self._newest = mark.checkpoint or self._newest
        return self._told(mark), True

    def _undo(self) -> tuple[str, bool]:
        if not self._marks:
            return "there is no mark to take back", False
        mark = self._marks.pop()
        gone = Retraction(**self._head(), mark=mark.key)
        self._kept.add(self._begun.trainee, [gone])
        self._newest = next(
            (m.checkpoint for m in self._marks[::-1] if m.checkpoint), None
        )
        return f"taken back: {self._told(mark)}", True

    def _told(self, mark: Mark) -> str:
        what = [str(mark.kind).replace("_", " ")]
        what += [str(one) for one in (mark.act, mark.severity, mark.leak_class) if one]
        if mark.checkpoint:
            what.append(self._words.point(mark.checkpoint))
        return "  ".join(what)

    def _head(self) -> dict[str, Any]:
        return {
            "key": uuid.uuid4(),
            "observation": self._begun.observation,
            "at_utc": utc_text(self._clock.now()),
            "by": self._by,
        }
